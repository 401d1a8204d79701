"""Is the yield of a plot plausible: fresh leaf of a year per area, against last year, the other plots and the trade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

#: Fresh leaf of one year, kg per 10 a, beyond which a figure is looked at. Common practice, no source; to compare: national
#: means of 419 (first flush of 2021) and 1,070 (all flushes of 2017, all teas).
LOW_KG_PER_10_A, HIGH_KG_PER_10_A = 80.0, 1_600.0
#: A plot that gives less than half or more than twice of last year is looked at. Common practice, no source.
LEAST_OF_LAST_FRAC, MOST_OF_LAST_FRAC = 0.5, 2.0
#: Distance from the median of the plots in scaled median absolute deviations (Iglewicz and Hoaglin 1993: 3.5).
FAR_Z = 3.5
_SCALED = 0.6745
_PLOTS_LEAST = 5
_KG_PER_MG, _ARES = 1e-6, 10.0


@dataclass(frozen=True, slots=True)
class YieldDoubts:
    """What speaks against a yield: outside the range of the trade, far from last year, far from the other plots."""

    beyond_range: bool
    far_from_last: bool
    far_from_others: bool

    @property
    def any(self) -> bool:
        """Whether anything does."""
        return self.beyond_range or self.far_from_last or self.far_from_others


def per_10_a_kg(mass_mg: float, area_a: float) -> float | None:
    """Return kg per 10 a of a mass in mg from an area in ares; None for no area."""
    return mass_mg * _KG_PER_MG / area_a * _ARES if area_a > 0 else None


def doubts(yields_kg: Mapping[str, float], last_kg: Mapping[str, float]) -> dict[str, YieldDoubts]:
    """Return what speaks against the yields of a year (kg per 10 a by plot), beside those of the year before."""
    middle = median(yields_kg.values()) if yields_kg else 0.0
    spread = median(abs(value - middle) for value in yields_kg.values()) if yields_kg else 0.0
    judged = len(yields_kg) >= _PLOTS_LEAST and spread > 0
    return {
        plot: YieldDoubts(
            not LOW_KG_PER_10_A <= value <= HIGH_KG_PER_10_A,
            plot in last_kg and not LEAST_OF_LAST_FRAC * last_kg[plot] <= value <= MOST_OF_LAST_FRAC * last_kg[plot],
            judged and abs(_SCALED * (value - middle) / spread) > FAR_Z,
        )
        for plot, value in yields_kg.items()
    }
