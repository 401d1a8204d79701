"""A robust straight line through values in time, and whether they rise or fall at all."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through the middle of the points: slope per unit of t with its 95 % range, value at t = 0."""

    slope: float
    intercept: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class MannKendall:
    """Whether a sequence rises or falls: sum of signs ``s``, its variance with ties, ``z`` and the two-sided ``p``."""

    s: int
    variance: float
    z: float
    p: float


def _enough(values: Sequence[float], least: int) -> None:
    if len(values) < least:
        raise ValueError(f"{len(values)} values show no trend; {least} are needed.")


def theil_sen(values: Sequence[float], at: Sequence[float]) -> Trend:
    """Theil-Sen line: slope is the median over all pairs, intercept = median(values) - slope × median(at).

    Pairs at equal t are passed over. Sen 1968; scipy's ``theilslopes``, method "separate", 95 % range of the slope.
    Raises ValueError for fewer than four values and for two sequences of unequal length.
    """
    _enough(values, 4)
    if len(values) != len(at):
        raise ValueError(f"{len(values)} values stand against {len(at)} times; each value needs its own time.")
    if len(set(at)) < 2:
        raise ValueError("All values stand at one time; a trend needs at least two.")
    slope, intercept, low, high = stats.theilslopes(values, at, alpha=0.95, method="separate")
    return Trend(float(slope), float(intercept), float(low), float(high))


def mann_kendall(values: Sequence[float]) -> MannKendall:
    """Mann-Kendall test of a sequence in order of time, with the correction for ties and for continuity.

    S = Σ sign(x_j - x_i), Var S = [n(n-1)(2n+5) - Σ g(g-1)(2g+5)]/18 over groups of g ties, Z = (S - sign S)/√Var S.
    All values equal, or S = 0, give Z = 0. Raises ValueError for fewer than four values.
    """
    _enough(values, 4)
    x, n = np.asarray(values, dtype=float), len(values)
    s = int(np.sign(x[None, :] - x[:, None])[np.triu_indices(n, 1)].sum())
    ties = sum(g * (g - 1) * (2 * g + 5) for g in Counter(values).values())
    variance = (n * (n - 1) * (2 * n + 5) - ties) / 18
    z = (s - math.copysign(1, s)) / math.sqrt(variance) if s else 0.0
    return MannKendall(s, variance, z, float(2 * stats.norm.sf(abs(z))))
