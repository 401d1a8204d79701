"""What a stage usually loses: defaults of the catalogue, then what the maker's own clean lots teach."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

from lots.trade.stages import STAGES
from lots.trade.weighing import Balance, Expectation

#: So many clean lots are needed before they replace the default. Common practice, no source.
LEAST_LOTS = 12


def default_for(stage: str) -> Expectation:
    """The catalogue's expectation of a judged stage, learned from no lot. Raises KeyError for any other stage."""
    known = STAGES[stage]
    if not known.judged:
        raise KeyError(f"{stage} has no balance, so nothing is usual there.")
    return Expectation(stage, known.loss_frac, known.sd_frac)


def loss_frac_of(balance: Balance) -> float | None:
    """What a balance lost unexplained, as a share of its dry input; None where it could not be judged."""
    return None if balance.z is None else balance.d_mg / balance.input_mg


def learned(loss_fracs: Sequence[float], default: Expectation, least: int = LEAST_LOTS) -> Expectation:
    """Mean and standard deviation (n - 1) of the unexplained losses of clean lots, once there are ``least`` of them.

    Clean means closed, all moistures measured, no correction pending (a stop that nobody has cleared is pending); never
    "with a good verdict", which would narrow the scatter each time it is learned. With fewer lots the default is given
    back and its ``lot_count`` stays: it says on how many lots the figures rest. The deviation holds the weighing error
    of those lots too, so verdicts come out a little mild rather than a little sharp. Raises ValueError for a loss that
    is no number.
    """
    if not all(math.isfinite(loss) for loss in loss_fracs):
        raise ValueError(f"A loss at {default.stage} is not a number; only judged balances teach what is usual.")
    if len(loss_fracs) < max(2, least):
        return default
    return Expectation(default.stage, statistics.fmean(loss_fracs), statistics.stdev(loss_fracs), len(loss_fracs))
