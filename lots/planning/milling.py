"""How long an order takes on the stones: each pair at its own rate, round the clock, with the dressings that fall due on the way.

Common practice, no source: a pair gives about 30 g an hour, so a kilogram on one pair takes 33 h 20 min.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lots.trade.units import MG_PER_G

#: A range is given for so many standard uncertainties of all rates together.
COVERAGE = 2.0
#: A pair that is dressed stands so many hours (common practice, no source; the house says otherwise where it knows).
DRESSING_H = 24.0
#: So many dressings of one pair are looked ahead; an order beyond them is too long to be promised.
DRESSINGS_MOST = 20


@dataclass(frozen=True, slots=True)
class PairAhead:
    """A stone pair as the plan takes it: its rate with the standard uncertainty of that mean, the hours until its open run is through,
    the hours that it may run before it is to be dressed (None: no fall is known), and those that it runs from one dressing to the next."""

    code: str
    rate_g_per_h: float
    u_rate_g_per_h: float
    free_in_h: float = 0.0
    dressing_in_h: float | None = None
    between_dressings_h: float | None = None


@dataclass(frozen=True, slots=True)
class PairShare:
    """What one pair does of an order: mass in mg, hours of grinding, and at which hours from now it stands to be dressed."""

    code: str
    mass_mg: float
    ground_h: float
    dressed_at_h: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MillingPlan:
    """Hours from now until the order is ground: at the pairs' own rates, and with all rates at the far ends of their range."""

    order_mg: int
    finish_h: float
    earliest_h: float
    latest_h: float
    shares: tuple[PairShare, ...]


def milling_plan(order_mg: int, pairs: Sequence[PairAhead], dressing_h: float = DRESSING_H) -> MillingPlan:
    """When an order of ``order_mg`` (mg of powder) is ground on these pairs, all running until it is done.

    ``dressing_h`` is how long a pair stands to be dressed. The range takes the uncertainty of the summed rate, k = 2. Raises
    ValueError for no order, no pair, a rate that is not above nothing, or an order that would take more dressings than are looked ahead.
    """
    if order_mg <= 0 or not pairs or any(not p.rate_g_per_h > 0 for p in pairs) or dressing_h < 0:
        raise ValueError("A plan needs an order and stone pairs that give something an hour.")
    rate = math.fsum(p.rate_g_per_h for p in pairs)
    spread = min(COVERAGE * math.hypot(*(p.u_rate_g_per_h for p in pairs)) / rate, 0.9)
    finish, early, late = (_finish_h(order_mg, pairs, dressing_h, 1 + sign * spread) for sign in (0, 1, -1))
    return MillingPlan(order_mg, finish, early, late, tuple(_share(p, finish, dressing_h) for p in pairs))


def _finish_h(order_mg: int, pairs: Sequence[PairAhead], dressing_h: float, factor: float) -> float:
    """The hour at which the pairs together have ground an order, each at its rate times ``factor``: found by halving."""
    def ground_mg(at_h: float) -> float:
        return math.fsum(factor * p.rate_g_per_h * MG_PER_G * _running_h(p, at_h, dressing_h) for p in pairs)

    high = 1.0
    while ground_mg(high) < order_mg:
        high *= 2
        if high > 1e7:
            raise ValueError("The order is too large for these stone pairs. Take more pairs, or a smaller order.")
    low = 0.0
    while high - low > 1e-6 * max(1.0, high):
        middle = (low + high) / 2
        low, high = (middle, high) if ground_mg(middle) < order_mg else (low, middle)
    return high


def _dressings(pair: PairAhead, dressing_h: float) -> list[tuple[float, float]]:
    """The stretches (from, to) in hours from now in which a pair stands to be dressed."""
    if pair.dressing_in_h is None:
        return []
    start = pair.free_in_h + max(0.0, pair.dressing_in_h)
    stretches = [(start, start + dressing_h)]
    while pair.between_dressings_h and len(stretches) < DRESSINGS_MOST:
        start = stretches[-1][1] + pair.between_dressings_h
        stretches.append((start, start + dressing_h))
    return stretches


def _running_h(pair: PairAhead, at_h: float, dressing_h: float) -> float:
    """Hours that a pair has run for the order by an hour from now."""
    stood = math.fsum(max(0.0, min(at_h, end) - start) for start, end in _dressings(pair, dressing_h))
    return max(0.0, at_h - pair.free_in_h - stood)


def _share(pair: PairAhead, finish_h: float, dressing_h: float) -> PairShare:
    ground_h = _running_h(pair, finish_h, dressing_h)
    due = tuple(start for start, _ in _dressings(pair, dressing_h) if start < finish_h)
    return PairShare(pair.code, pair.rate_g_per_h * MG_PER_G * ground_h, ground_h, due)
