"""Stone pairs as a plan takes them: what each gives an hour now, when its run is through, when it is to be dressed."""

from __future__ import annotations

import datetime as dt
import math
import statistics
from collections.abc import Sequence

from lots.balance.throughput import BASE_RUNS, RECENT_RUNS, STOP_SHARE, hours_to_floor
from lots.balance.trend import theil_sen
from lots.models import StonePair
from lots.planning.milling import PairAhead
from lots.read.registers import in_force
from lots.read.stones import PairNow, TubFacts, pairs_now, tubs_since_dressing
from lots.trade.weighing import Verdict

#: Where only one tub says what a pair gives, its rate is taken as known to so much of itself (common practice, no source).
U_RATE_OF_ONE_FRAC = 0.1


def pairs_ahead(now: dt.datetime) -> tuple[list[PairAhead], list[str]]:
    """Return the pairs that can be planned with, and the codes of those that have given no tub since their dressing."""
    tubs = tubs_since_dressing(list(in_force(StonePair)))
    pairs = pairs_now()
    known = [pair_ahead(pair, tubs[pair.code], now) for pair in pairs if tubs[pair.code]]
    return known, [pair.code for pair in pairs if not tubs[pair.code]]


def pair_ahead(pair: PairNow, tubs: Sequence[TubFacts], now: dt.datetime) -> PairAhead:
    """Return one pair: the mean of its last tubs, what its open run still takes, and how far it is from its dressing."""
    rates = [tub.rate_g_per_h for tub in tubs]
    recent = rates[-RECENT_RUNS:]
    mean = statistics.fmean(recent)
    u_rate = statistics.stdev(recent) / math.sqrt(len(recent)) if len(recent) > 1 else U_RATE_OF_ONE_FRAC * mean
    dry_at = pair.run.dry_at if pair.run else None
    free_in_h = max(0.0, (dry_at - now).total_seconds() / 3600) if dry_at else 0.0
    return PairAhead(pair.code, mean, u_rate, free_in_h, dressing_in_h(pair, tubs, rates))


def dressing_in_h(pair: PairNow, tubs: Sequence[TubFacts], rates: Sequence[float]) -> float | None:
    """Return the hours of running until the pair's rate falls to the share of its own base at which it is dressed."""
    if pair.state.verdict is Verdict.STOP:
        return 0.0
    if pair.state.base_g_per_h is None or len(rates) <= BASE_RUNS:
        return None
    line = theil_sen(rates, [tub.dressed_h for tub in tubs])
    return hours_to_floor(line, pair.dressed_h, STOP_SHARE * pair.state.base_g_per_h)
