"""What the stones give per hour, whether a pair falls off since its dressing, and when it will reach a floor.

A stone that goes blunt loses no leaf: mass closes while grams per hour fall, so the rate has a rule of its own.
"""

from __future__ import annotations

import math
import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from scipy import stats

from lots.trade.language import pick
from lots.trade.units import MG_PER_G, number_text, rate_text
from lots.trade.weighing import Verdict

#: Shares of the pair's own base below which it is looked at and dressed, how sure the fall must be (one-sided 0.5 %)
#: and how many runs make the base and the present. Common practice, no source.
LOOK_SHARE = 0.95
STOP_SHARE = 0.90
FALL_Z = -2.58
BASE_RUNS = 12
RECENT_RUNS = 5

_RATE_WORDS = MappingProxyType({
    Verdict.LOOK: ("The rate falls: ", "遅くなっている。"),
    Verdict.STOP: ("Too slow, dress it: ", "遅すぎる、目立てを。"),
})


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


@dataclass(frozen=True, slots=True)
class PairState:
    """How a stone pair stands since its dressing.

    ``base_g_per_h`` and ``recent_g_per_h`` are medians (None before there are enough runs), ``share_frac`` is their
    ratio, ``fall_z`` the Mann-Kendall statistic of all runs.
    """

    run_count: int
    verdict: Verdict
    base_g_per_h: float | None = None
    recent_g_per_h: float | None = None
    share_frac: float | None = None
    fall_z: float | None = None


def rate_g_per_h(tub_mg: int, hours: float) -> float:
    """Grams per hour of running, from a tub in mg and the hours actually run, not by the calendar.

    Raises ValueError for no hours.
    """
    if not hours > 0:
        raise ValueError("A run of no hours has no rate. Look at when it started and when the tub was taken off.")
    return tub_mg / MG_PER_G / hours


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


def _rate_verdict(share: float, fall_z: float) -> Verdict:
    if fall_z >= FALL_Z or share >= LOOK_SHARE:
        return Verdict.ADDS_UP
    return Verdict.STOP if share < STOP_SHARE else Verdict.LOOK


def pair_state(rates: Sequence[float], base_runs: int = BASE_RUNS) -> PairState:
    """Judge a pair by its rates in g/h, one per run in order of time.

    Base is the median of the first ``base_runs``, present the median of the last five. Below 95 % of the base it is
    *look*, below 90 % *stop* (dress it), both only if Mann-Kendall over all runs is below -2.58. With ``base_runs`` or
    fewer it cannot be judged. Begin the sequence anew at each dressing. When all pairs fall together the leaf or the
    room is the cause, not a stone: look at the others first. Raises ValueError for fewer than four ``base_runs``.
    """
    if base_runs < 4:
        raise ValueError(f"A base of {base_runs} runs is no base; take four or more.")
    if len(rates) <= base_runs:
        return PairState(len(rates), Verdict.CANNOT)
    base, recent = statistics.median(rates[:base_runs]), statistics.median(rates[-RECENT_RUNS:])
    fall_z, share = mann_kendall(rates).z, recent / base
    return PairState(len(rates), _rate_verdict(share, fall_z), base, recent, share, fall_z)


def hours_to_floor(trend: Trend, now_h: float, floor_g_per_h: float) -> float | None:
    """Hours of running from ``now_h`` until the trend line falls to a floor: 0 if it has, None if it does not fall.

    ``trend`` is grams per hour over hours since dressing, ``now_h`` those hours today.
    """
    if trend.intercept + trend.slope * now_h <= floor_g_per_h:
        return 0.0
    return None if trend.slope >= 0 else (floor_g_per_h - trend.intercept) / trend.slope - now_h


def rate_sentence(state: PairState, language: str = "en") -> str:
    """The rate of a stone pair in one sentence: "Too slow, dress it: 36.1 g/h where 40.3 was usual after dressing."."""
    if state.recent_g_per_h is None or state.base_g_per_h is None:
        return pick(language, f"Too few runs since dressing to judge the rate: {state.run_count}.",
                    f"目立てからの運転がまだ {state.run_count} 回。速さは判定できず。")
    now, usual = rate_text(state.recent_g_per_h, 1, language), number_text(state.base_g_per_h, 1)
    english, japanese = _RATE_WORDS.get(state.verdict, ("", ""))
    return pick(language, f"{english}{now} where {usual} was usual after dressing.",
                f"{japanese}いま {now}、目立て直後は {usual}。")
