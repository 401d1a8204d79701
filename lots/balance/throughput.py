"""What the stones give per hour, whether a pair falls off since its dressing, and when it will reach a floor.

A stone that goes blunt loses no leaf: mass closes while grams per hour fall, so the rate has a rule of its own.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

from lots.balance.trend import Trend, mann_kendall
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
