"""Control charts of stage yields and rates: individuals with moving ranges, EWMA, tabular CUSUM, and rules about runs.

Constants are exact by default; handbooks round them (1.128, 2.66, 3.267). A chart begins anew at every dressing of a
stone, change of product or gap: no range is taken across. NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lots.balance.run_rules import RULE_SETS, RuleBreach, run_rule_breaches

__all__ = [
    "RULE_SETS", "CusumChart", "EwmaChart", "IndividualsChart", "RuleBreach", "cusum_chart", "ewma_chart", "individuals_chart",
    "run_rule_breaches",
]

Array = NDArray[np.float64]

#: Mean and standard deviation of the range of two normal values, in their own standard deviations: 2/√π and √(2 - 4/π).
D2_EXACT, D3_EXACT = 2 / math.sqrt(math.pi), math.sqrt(2 - 4 / math.pi)
SIGMAS = 3.0


@dataclass(frozen=True, slots=True, eq=False)
class IndividualsChart:
    """Chart of single values, for the segment that begins at ``start``: limits in the unit of the values.

    ``sigma`` is mean moving range over d2. ``beyond`` are positions (in all values) outside the limits; where nothing
    varies (``sigma`` 0) there is no spread to judge by and nothing is beyond. ``earlier`` holds the segments before.
    """

    start: int
    values: tuple[float, ...]
    center: float
    sigma: float
    upper_limit: float
    lower_limit: float
    mean_moving_range: float
    moving_range_upper_limit: float
    beyond: tuple[int, ...]
    earlier: tuple[IndividualsChart, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class EwmaChart:
    """Exponentially weighted means. ``upper_limit``/``lower_limit`` are those after long; ``upper_limits``/``lower_limits`` those
    that hold at each value. ``beyond`` are positions outside the limits that were asked for."""

    averages: tuple[float, ...]
    center: float
    sigma: float
    upper_limit: float
    lower_limit: float
    upper_limits: tuple[float, ...]
    lower_limits: tuple[float, ...]
    beyond: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class CusumChart:
    """Tabular cumulative sums above and below a target; ``signals`` are positions at which one is beyond the interval."""

    high: tuple[float, ...]
    low: tuple[float, ...]
    target: float
    reference_value: float
    decision_interval: float
    signals: tuple[int, ...]


def _checked(values: Sequence[float] | Array, least: int) -> Array:
    found = np.asarray(values, dtype=float)
    if found.ndim != 1 or len(found) < least:
        raise ValueError(f"{found.size} values make no chart; {least} are needed.")
    if not np.all(np.isfinite(found)):
        raise ValueError("A value of the chart is not finite.")
    return found


def individuals_chart(
    *, values: Sequence[float], starts: Sequence[int] = (), d2: float = D2_EXACT, d3: float = D3_EXACT
) -> IndividualsChart:
    """Chart single values in order of time: mean ± 3 × mean moving range / d2.

    ``starts`` are positions at which a new segment begins; the answer is the last segment's, the others are in ``earlier``.
    The moving range's own limit is (1 + 3 d3/d2) × mean moving range. Raises ValueError for a segment of fewer than two.
    """
    found = _checked(values, 2)
    cuts = sorted({0, *(s for s in starts if 0 <= s < len(found))})
    segments = [_individuals(found, a, b, d2, d3) for a, b in zip(cuts, [*cuts[1:], len(found)], strict=True)]
    last = segments[-1]
    return IndividualsChart(
        last.start, last.values, last.center, last.sigma, last.upper_limit, last.lower_limit, last.mean_moving_range,
        last.moving_range_upper_limit, last.beyond, tuple(segments[:-1]),
    )


def _individuals(values: Array, start: int, end: int, d2: float, d3: float) -> IndividualsChart:
    own = _checked(values[start:end], 2)
    center, mean_range = float(own.mean()), float(np.abs(np.diff(own)).mean())
    sigma = mean_range / d2
    upper, lower = center + SIGMAS * sigma, center - SIGMAS * sigma
    beyond = np.flatnonzero((own > upper) | (own < lower)) + start if sigma > 0 else ()
    range_limit = (1 + SIGMAS * d3 / d2) * mean_range
    return IndividualsChart(
        start, tuple(map(float, own)), center, sigma, upper, lower, mean_range, range_limit, tuple(map(int, beyond)),
    )


def _scatter(values: Array, sigma: float | None) -> float:
    if sigma is not None and sigma < 0:
        raise ValueError("A scatter below nothing cannot be.")
    return float(np.abs(np.diff(values)).mean()) / D2_EXACT if sigma is None else sigma


def ewma_chart(
    *, values: Sequence[float], weight: float = 0.2, width: float = 3.0, target: float | None = None, sigma: float | None = None,
    asymptotic: bool = False,
) -> EwmaChart:
    """Chart z_i = λ x_i + (1 - λ) z_(i-1), begun at the target (the mean where none is given).

    Limits: target ± L s √(λ/(2-λ) (1-(1-λ)^(2i))), or without the bracket when ``asymptotic``. ``sigma`` in the unit of the
    values; from moving ranges where it is not given. Raises ValueError for fewer than two values or a weight outside (0, 1].
    """
    found = _checked(values, 2)
    if not 0 < weight <= 1:
        raise ValueError("The weight of the newest value lies above 0 and is at most 1.")
    center, scatter = float(found.mean()) if target is None else target, _scatter(found, sigma)
    averages, last = [], center
    for value in found:
        last = weight * float(value) + (1 - weight) * last
        averages.append(last)
    reach = width * scatter * math.sqrt(weight / (2 - weight))
    growing = reach * np.sqrt(1 - (1 - weight) ** (2 * np.arange(1, len(found) + 1)))
    used = np.full(len(found), reach) if asymptotic else growing
    beyond = np.flatnonzero(np.abs(np.array(averages) - center) > used) if scatter > 0 else ()
    return EwmaChart(
        tuple(averages), center, scatter, center + reach, center - reach, tuple(map(float, center + growing)),
        tuple(map(float, center - growing)), tuple(map(int, beyond)),
    )


def cusum_chart(
    *, values: Sequence[float], target: float, reference_value: float | None = None, decision_interval: float | None = None,
    sigma: float | None = None,
) -> CusumChart:
    """Chart S⁺ = max(0, S⁺ + x - T - k) and S⁻ = max(0, S⁻ + T - k - x); a signal where one is beyond h.

    k (``reference_value``) and h (``decision_interval``) in the unit of the values; 0.5 s and 5 s where they are not given
    (average run length 465 in control, 10.4 at a shift of one s). Raises ValueError for fewer than two values.
    """
    found = _checked(values, 2)
    scatter = _scatter(found, sigma)
    k = 0.5 * scatter if reference_value is None else reference_value
    h = 5.0 * scatter if decision_interval is None else decision_interval
    high, low = [0.0], [0.0]
    for value in map(float, found):
        high.append(max(0.0, high[-1] + value - target - k))
        low.append(max(0.0, low[-1] + target - k - value))
    signals = [i for i, (a, b) in enumerate(zip(high[1:], low[1:], strict=True)) if max(a, b) > h]
    return CusumChart(tuple(high[1:]), tuple(low[1:]), target, k, h, tuple(signals))
