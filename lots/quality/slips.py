"""What the bags of a delivery say against each other and against the plot's own history: slips of the scale or the pen.

The factors are common practice, no source: they question, they never refuse.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

#: A bag at or beyond double, or at or below half, of the mean of the others was weighed twice, with another, or not whole.
BAG_FACTOR = 2.0
#: The mean of a delivery this much off the usual bag of the plot is questioned.
MEAN_FACTOR = 1.6
#: A flush that brings this much more than the plot ever brought in one is questioned.
YIELD_FACTOR = 1.6
#: So many deliveries make a usual bag.
DELIVERIES_LEAST = 3
#: So many flushes are a history: one alone may have been entered in part.
FLUSHES_LEAST = 2


def odd_bags(bags_mg: Sequence[int]) -> list[int]:
    """Return the numbers (from 1) of bags in mg that are double or half the mean of the other bags of the delivery; none
    below three bags, because then nobody can say which is odd."""
    if len(bags_mg) < 3:
        return []
    whole_mg = sum(bags_mg)
    means = [(whole_mg - bag) / (len(bags_mg) - 1) for bag in bags_mg]
    return [no for no, (bag, mean) in enumerate(zip(bags_mg, means, strict=True), 1) if not mean / BAG_FACTOR < bag < mean * BAG_FACTOR]


def usual_bag_mg(means_mg: Sequence[float]) -> float | None:
    """Return the usual bag in mg: the median of the bag means of earlier deliveries; None below three deliveries."""
    return float(median(means_mg)) if len(means_mg) >= DELIVERIES_LEAST else None


def mean_is_odd(mean_mg: float, usual_mg: float | None) -> bool:
    """Tell whether a delivery's bag mean (mg) is far off the usual bag (mg); never where there is no usual one."""
    return usual_mg is not None and not usual_mg / MEAN_FACTOR <= mean_mg <= usual_mg * MEAN_FACTOR


def kg_per_10_a(mass_mg: int, area_a: float) -> float:
    """Return fresh leaf in kg per 10 a from a mass in mg and an area in ares. Raises ValueError for no area."""
    if area_a <= 0:
        raise ValueError("A plot has an area.")
    return mass_mg / 1e6 / area_a * 10


def yield_is_odd(kg_now: float, kg_before: Sequence[float]) -> bool:
    """Tell whether a flush (kg per 10 a) has brought far more than the plot's earlier flushes ever did; never below two flushes."""
    return len(kg_before) >= FLUSHES_LEAST and kg_now > max(kg_before) * YIELD_FACTOR
