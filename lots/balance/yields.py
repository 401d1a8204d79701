"""Yield of a step on dry matter, with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lots.balance.propagation import sums_mg, u_weighted
from lots.trade.weighing import Side, Weighing


@dataclass(frozen=True, slots=True)
class DryYield:
    """Dry output over dry input, and its standard uncertainty."""

    yield_frac: float
    u_yield_frac: float


def dry_yield(lines: Sequence[Weighing]) -> DryYield | None:
    """Y = out/in on dry matter; None where nothing went in or a moisture is missing.

    Give the lines of the main product alone for its own yield. u(Y) follows from dY = dO/I - Y dI/I, so the error that
    one scale makes on both sides cancels as it does on the scale. Raises ``Refused`` for a load beyond its scale.
    """
    sums = sums_mg(lines)
    input_mg, output_mg = sums[Side.IN], sums[Side.OUT]
    if not input_mg > 0 or math.isnan(output_mg):
        return None
    share = output_mg / input_mg
    weights = {Side.IN: -share / input_mg, Side.OUT: 1 / input_mg, Side.LOST: 0.0}
    return DryYield(share, u_weighted(lines, weights))
