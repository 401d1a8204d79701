"""Sieves: what a screen lets through, how well it parts, and the sizes by which a powder is described."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

import numpy as np

#: ASTM E11 designation → opening in um and the permitted deviation of the average opening in um, as a general-purpose
#: engineering library carries them. Tables before 1970 print other roundings (149, 105, 74): store the opening, not the number.
ASTM_E11 = MappingProxyType({
    "35": (500, 18.0), "40": (425, 15.5), "45": (355, 13.3), "50": (300, 11.5), "60": (250, 9.9), "70": (212, 8.7), "80": (180, 7.6),
    "100": (150, 6.6), "120": (125, 5.8), "140": (106, 5.2), "170": (90, 4.6), "200": (75, 4.1), "230": (63, 3.7), "270": (53, 3.4),
    "325": (45, 3.1), "400": (38, 2.9),
})
#: ISO 565 series, openings in um from coarse to fine.
ISO_565 = MappingProxyType({
    "R 20/3": (710, 500, 355, 250, 180, 125, 90, 63, 45),
    "R 40/3": (710, 600, 500, 425, 355, 300, 250, 212, 180, 150, 125, 106, 90, 75, 63, 53, 45, 38),
    "R 20": (
        800, 710, 630, 560, 500, 450, 400, 355, 315, 280, 250, 224, 200, 180, 160, 140, 125, 112, 100, 90, 80, 71, 63, 56, 50, 45, 40, 36,
    ),
    "R 10": (32, 25, 20),
})


@dataclass(frozen=True, slots=True)
class SieveTable:
    """A sieve analysis, openings from coarse to fine in um: share kept on each, share finer than each, and what was lost in mg."""

    openings_um: tuple[float, ...]
    kept_frac: tuple[float, ...]
    finer_frac: tuple[float, ...]
    pan_frac: float
    lost_mg: int | None


@dataclass(frozen=True, slots=True)
class Sizes:
    """D10, D50 and D90 in um (None beyond the finest or coarsest opening: nothing is extrapolated) and the span (D90 - D10)/D50."""

    d10_um: float | None
    d50_um: float | None
    d90_um: float | None

    @property
    def span_frac(self) -> float | None:
        """How wide the powder is, in medians."""
        if self.d10_um is None or self.d90_um is None or not self.d50_um:
            return None
        return (self.d90_um - self.d10_um) / self.d50_um


@dataclass(frozen=True, slots=True)
class ScreenResult:
    """How well a screen parted a feed: recoveries of fine and of coarse, their product, and fines that stayed above (mg)."""

    undersize_recovery_frac: float
    oversize_recovery_frac: float
    effectiveness_frac: float
    misplaced_fines_mg: float


def sieve_table(openings_um: Sequence[float], kept_mg: Sequence[int], pan_mg: int, charge_mg: int | None = None) -> SieveTable:
    """Shares from masses in mg on each opening (in um, coarse first) and in the pan. ``charge_mg`` minus their sum is the loss.

    Shares are of what was found, not of the charge. Raises ValueError for openings that do not fall, masses below nothing, and
    nothing found at all.
    """
    if len(openings_um) != len(kept_mg) or any(a <= b for a, b in pairwise(openings_um)):
        raise ValueError("Openings go from coarse to fine, each with its mass.")
    if min(*kept_mg, pan_mg) < 0:
        raise ValueError("A mass on a sieve cannot be below nothing.")
    whole = sum(kept_mg) + pan_mg
    if not whole:
        raise ValueError("Nothing was found on the sieves.")
    kept = tuple(mass / whole for mass in kept_mg)
    finer = tuple(1 - math.fsum(kept[: i + 1]) for i in range(len(kept)))
    return SieveTable(tuple(openings_um), kept, finer, pan_mg / whole, None if charge_mg is None else charge_mg - whole)


def size_at(table: SieveTable, share_frac: float, rule: str = "log") -> float | None:
    """The size in um below which a share of the mass lies, between the openings of a table; None beyond them.

    ``rule`` "log": the share is linear in the logarithm of the size (the default here); "linear": in the size itself. Raises
    ValueError for another rule or a share outside 0 to 1.
    """
    if rule not in {"log", "linear"} or not 0 <= share_frac <= 1:
        raise ValueError(f"No share {share_frac} by the rule {rule!r}; there are log and linear, from 0 to 1.")
    shares, sizes = table.finer_frac[::-1], table.openings_um[::-1]
    if not shares[0] <= share_frac <= shares[-1]:
        return None
    places = [math.log(size) for size in sizes] if rule == "log" else list(sizes)
    found = float(np.interp(share_frac, shares, places))
    return math.exp(found) if rule == "log" else found


def sizes_of(table: SieveTable, rule: str = "log") -> Sizes:
    """D10, D50 and D90 of a sieve analysis in um, by one rule of interpolation. Raises ValueError as :func:`size_at`."""
    d10, d50, d90 = (size_at(table, share, rule) for share in (0.1, 0.5, 0.9))
    return Sizes(d10, d50, d90)


def two_product_split(feed_frac: float, first_frac: float, second_frac: float) -> float:
    """Share of the feed that goes to the first product, from the share of one part in all three: (f - t)/(c - t).

    Raises ValueError where the two products do not differ, or the feed does not lie between them.
    """
    if first_frac == second_frac:
        raise ValueError("The two products hold the same share: nothing was parted, so the split cannot be reckoned.")
    split = (feed_frac - second_frac) / (first_frac - second_frac)
    if not 0 <= split <= 1:
        raise ValueError("The feed does not lie between its products. One of the three analyses is wrong.")
    return split


def recovery(feed_frac: float, first_frac: float, second_frac: float) -> float:
    """Share of one part that goes to the first product: c(f - t)/(f(c - t)), from its shares in feed and products.

    Raises ValueError as :func:`two_product_split`, and for a feed that holds nothing of it.
    """
    if feed_frac == 0:
        raise ValueError("The feed holds nothing of it: there is nothing to recover.")
    return first_frac * two_product_split(feed_frac, first_frac, second_frac) / feed_frac


def screen_result(
    *, feed_mg: float, oversize_mg: float, undersize_mg: float, feed_fines_frac: float, oversize_fines_frac: float,
    undersize_fines_frac: float,
) -> ScreenResult:
    """How well a screen parted, from masses in mg and the shares finer than its opening.

    E_u = U u/(F f), E_o = O(1 - o)/(F(1 - f)), effectiveness E_u E_o (McCabe, Smith and Harriott, Unit Operations, on screening).
    Raises ValueError for a feed that is all fine or all coarse, or of no mass.
    """
    if not feed_mg > 0 or not 0 < feed_fines_frac < 1:
        raise ValueError("A feed that is all fine, all coarse or of no mass cannot be parted by a screen.")
    undersize = undersize_mg * undersize_fines_frac / (feed_mg * feed_fines_frac)
    oversize = oversize_mg * (1 - oversize_fines_frac) / (feed_mg * (1 - feed_fines_frac))
    return ScreenResult(undersize, oversize, undersize * oversize, oversize_mg * oversize_fines_frac)


# Distributions by a formula ------------------------------------------------------------------------------------------


def rosin_rammler_size(share_frac: float, scale_um: float, spread: float) -> float:
    """Size in um below which a share lies, D_p = d' (-ln(1 - p))^(1/n). Raises ValueError outside 0 < p < 1 and n, d' above 0."""
    if not 0 < share_frac < 1 or not scale_um > 0 or not spread > 0:
        raise ValueError("Rosin-Rammler takes a share between 0 and 1, and a scale and a spread above 0.")
    size: float = scale_um * (-math.log1p(-share_frac)) ** (1 / spread)
    return size


def fit_rosin_rammler(sizes_um: Sequence[float], coarser_frac: Sequence[float]) -> tuple[float, float]:
    """Scale in um and spread of R(d) = exp(-(d/d')^n) by least squares on the shares kept above each size in um.

    The regression of ln(-ln R) on ln d gives other figures; it is where this search begins. Raises ValueError for fewer than two
    shares between 0 and 1.
    """
    points = [(d, r) for d, r in zip(sizes_um, coarser_frac, strict=True) if 0 < r < 1]
    if len(points) < 2:
        raise ValueError("Two shares between 0 and 1 are needed.")
    from scipy.optimize import least_squares  # noqa: PLC0415 - a slow import that only a fit needs

    x, y = np.log([d for d, _ in points]), np.log(-np.log([r for _, r in points]))
    slope, level = np.polyfit(x, y, 1)
    d, kept = np.array([d for d, _ in points]), np.array([r for _, r in points])
    start = [-level / slope, math.log(slope)]
    found = least_squares(lambda p: np.exp(-((d / math.exp(p[0])) ** math.exp(p[1]))) - kept, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    return math.exp(found.x[0]), math.exp(found.x[1])


def sauter_mean_um(sizes_um: Sequence[float], mass_frac: Sequence[float]) -> float:
    """Sauter mean D[3,2] = 1/Σ(w_i/d_i) in um from mass shares at sizes in um. Raises ValueError where nothing is there."""
    whole = math.fsum(w / d for d, w in zip(sizes_um, mass_frac, strict=True))
    if not whole > 0:
        raise ValueError("No mass at any size.")
    return math.fsum(mass_frac) / whole


def moment_mean_um(edges_um: Sequence[float], counts: Sequence[float], p: int, q: int) -> float:
    """D[p,q] in um from counts in classes with edges in um, particles spread evenly inside each class (ISO 9276-2, ASTM E799).

    M_k = Σ n (b^(k+1) - a^(k+1))/((k+1)(b - a)), D[p,q] = (M_p/M_q)^(1/(p-q)). Raises ValueError for p = q or no counts.
    """
    if p == q or len(edges_um) != len(counts) + 1 or not math.fsum(counts) > 0:
        raise ValueError("A mean of two different moments needs classes with counts.")

    def moment(k: int) -> float:
        classes = zip(pairwise(edges_um), counts, strict=True)
        return math.fsum(n * (b ** (k + 1) - a ** (k + 1)) / ((k + 1) * (b - a)) for (a, b), n in classes)

    ratio: float = (moment(p) / moment(q)) ** (1 / (p - q))
    return ratio


def lognormal_size_um(share_frac: float, median_um: float, spread: float) -> float:
    """Size in um below which a share of the mass lies, m exp(s z_p). Raises ValueError outside 0 < p < 1 and m above 0."""
    from scipy.special import ndtri  # noqa: PLC0415 - as above

    if not 0 < share_frac < 1 or not median_um > 0:
        raise ValueError("A log-normal size takes a share between 0 and 1 and a median above 0.")
    return median_um * math.exp(spread * float(ndtri(share_frac)))
