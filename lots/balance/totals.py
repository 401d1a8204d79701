"""Sums of balances: of a stage, a lot, a week, a machine."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lots.balance.closure import verdict_of
from lots.trade.language import pick
from lots.trade.weighing import Balance, Verdict

_ORDER = (Verdict.ADDS_UP, Verdict.LOOK, Verdict.STOP)


@dataclass(frozen=True, slots=True)
class Total:
    """A sum of balances as one balance, how many are in it and left out, and the worst verdict among those in it.

    Faults of opposite sign cancel in a sum: ``worst`` is what keeps a good total from hiding them.
    """

    balance: Balance
    judged_count: int
    unjudged_count: int
    worst: Verdict


def worst_of(verdicts: Iterable[Verdict]) -> Verdict:
    """The gravest of the verdicts that judge; cannot be judged only where there is no other."""
    return max((v for v in verdicts if v in _ORDER), key=_ORDER.index, default=Verdict.CANNOT)


def left_out_text(judged: int, left: int, language: str = "en") -> str:
    """How many balances a sum leaves out, in a sentence; empty where it leaves out none."""
    of = judged + left
    if not of:
        return pick(language, "There is no balance to sum yet.", "まだ足す収支がない。")
    if not left:
        return ""
    are = "is" if left == 1 else "are"
    return pick(language, f"{left} of {of} cannot be judged and {are} not in this sum.",
                f"{of} 件のうち {left} 件は判定できず、この合計に入っていない。")


def total(balances: Sequence[Balance], language: str = "en") -> Total:
    """Sum the balances that could be judged: D and E add, u and scatter add as squares, because steps are independent.

    (The permissible error of a scale that several steps share is so taken as new at each step; within a step it is
    common.) The verdict is that of the sum. Balances that could not be judged are left out, and ``why`` counts them; a
    sum of none cannot be judged.
    """
    judged = [b for b in balances if b.z is not None]
    left = len(balances) - len(judged)
    why = left_out_text(len(judged), left, language)
    sides = ((b.input_mg, b.output_mg, b.lost_mg, b.d_mg, b.e_mg) for b in judged)
    input_mg, output_mg, lost_mg, d_mg, e_mg = map(math.fsum, zip(*sides, strict=True)) if judged else (0.0,) * 5
    u_mg, scatter_mg = math.hypot(*(b.u_mg for b in judged)), math.hypot(*(b.scatter_mg for b in judged))
    z = (d_mg - e_mg) / math.hypot(u_mg, scatter_mg) if judged else None
    verdict = Verdict.CANNOT if z is None else verdict_of(z)
    summed = Balance(input_mg, output_mg, lost_mg, d_mg, u_mg, e_mg, scatter_mg, z, verdict, why)
    return Total(summed, len(judged), left, worst_of(b.verdict for b in judged))
