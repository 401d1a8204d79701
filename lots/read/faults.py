"""What does not add up, ordered by the kilograms at risk; two faults that answer each other are one entry.

Opposite residuals in consecutive stages of one lot point at one reading between them, in consecutive jobs of one
machine at leaf that stayed behind. Nothing is proposed here: the two are only laid side by side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from lots.balance.totals import worst_of
from lots.genealogy.carry import CarryOver, carry_over
from lots.models import CleanDown, MillingClose
from lots.read.balances import BalanceNode
from lots.trade.weighing import Side, Verdict

#: Two residuals answer each other when their sum lies within so many of its own scatters. Common practice, no source.
ANSWER_WITHIN = 2.0


class Together(StrEnum):
    """Why balances stand in one entry."""

    ALONE = "alone"
    READING = "one reading between two stages"
    CARRIED = "leaf that stayed behind"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that does not add up: its balances in order of record, the lot that it is about (for leaf that stayed
    behind: the leaf of the earlier job), the mass at risk as read, and the estimate of what went over.

    For leaf that stayed behind also what was typed as left-over of the earlier job (None: its run has no close), and
    whether the machine was opened and cleaned in between.
    """

    nodes: tuple[BalanceNode, ...]
    together: Together
    lot: str
    at_risk_mg: int
    carried: CarryOver | None = None
    left_over_mg: int | None = None
    cleaned_between: bool = False

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of its balances."""
        return worst_of(n.balance.verdict for n in self.nodes)


def residual_mg(node: BalanceNode) -> float:
    """Return how far a balance lies from the usual, in mg dry."""
    return node.balance.d_mg - node.balance.e_mg


def u_residual_mg(node: BalanceNode) -> float:
    """Return the scatter of that distance, in mg dry."""
    return math.hypot(node.balance.u_mg, node.balance.scatter_mg)


def faults(nodes: Sequence[BalanceNode]) -> list[Fault]:
    """Return everything that is to be looked at or stopped, most kilograms first."""
    open_nodes = [n for n in sorted(nodes, key=lambda n: n.step) if n.balance.verdict in {Verdict.LOOK, Verdict.STOP}]
    found: list[Fault] = []
    while open_nodes:
        first = open_nodes.pop(0)
        other, fault = partner(first, open_nodes, nodes)
        if other is not None:
            open_nodes.remove(other)
        found.append(fault)
    return with_facts(sorted(found, key=lambda f: (-f.at_risk_mg, f.nodes[0].step)))


def with_facts(found: Sequence[Fault]) -> list[Fault]:
    """Return the faults, those about leaf that stayed behind with what a hand did between the two jobs."""
    carried = [f for f in found if f.together is Together.CARRIED]
    if not carried:
        return list(found)
    runs = [f.nodes[0].step for f in carried]
    left = dict(MillingClose.objects.filter(step__continues__in=runs).values_list("step__continues_id", "left_over_mg"))
    opened = CleanDown.objects.filter(opened=True, step__equipment__code__in={f.nodes[0].machine for f in carried})
    cleaned = list(opened.values_list("step__equipment__code", "step_id"))

    def told(fault: Fault) -> Fault:
        first, last = fault.nodes[0], fault.nodes[-1]
        between = any(code == first.machine and first.step < step < last.step for code, step in cleaned)
        return replace(fault, left_over_mg=left.get(first.step), cleaned_between=between)

    return [told(f) if f.together is Together.CARRIED else f for f in found]


def partner(
    first: BalanceNode, others: Iterable[BalanceNode], nodes: Sequence[BalanceNode]
) -> tuple[BalanceNode | None, Fault]:
    """Return the balance that answers this one, with both as one fault; the balance alone where there is none."""
    answers = [other for other in others if answer(first, other)]
    reading = closest(first, answers, lambda other: bool(shared_lot(first, other)))
    if reading is not None:
        lot = shared_lot(first, reading)
        return reading, Fault((first, reading), Together.READING, lot, mass_of(lot, (first, reading)))
    carried = closest(first, answers, lambda other: follows(first, other, nodes))
    if carried is not None:
        at_risk = first.at_risk_mg + carried.at_risk_mg
        return carried, Fault((first, carried), Together.CARRIED, leaf_of(first), at_risk, estimate(first, carried))
    return None, Fault((first,), Together.ALONE, leaf_of(first), first.at_risk_mg)


def answer(first: BalanceNode, other: BalanceNode) -> bool:
    """Tell whether two residuals are opposite and cancel within their scatter."""
    r_first, r_other = residual_mg(first), residual_mg(other)
    within_mg = ANSWER_WITHIN * math.hypot(u_residual_mg(first), u_residual_mg(other))
    return r_first * r_other < 0 and abs(r_first + r_other) <= within_mg


def closest(
    first: BalanceNode, others: Iterable[BalanceNode], fits: Callable[[BalanceNode], bool]
) -> BalanceNode | None:
    """Return the balance that cancels best among those that fit."""
    return min((o for o in others if fits(o)), key=lambda o: abs(residual_mg(first) + residual_mg(o)), default=None)


def shared_lot(first: BalanceNode, other: BalanceNode) -> str:
    """Return the lot that the earlier of two stages made and the later one took, or nothing."""
    if first.stage == other.stage:
        return ""
    return next((lot for lot in first.lots_out if lot in other.lots_in), "")


def follows(first: BalanceNode, other: BalanceNode, nodes: Sequence[BalanceNode]) -> bool:
    """Tell whether the other job is the next one on the same machine."""
    if not first.machine or first.machine != other.machine or first.stage != other.stage:
        return False
    later = (n.step for n in nodes if n.machine == first.machine and n.stage == first.stage and n.step > first.step)
    return other.step == min(later, default=0)


def estimate(first: BalanceNode, other: BalanceNode) -> CarryOver | None:
    """Return how much dry leaf seems to have gone from the earlier job into the later, where that explains both."""
    carried = carry_over(residual_mg(first), u_residual_mg(first), residual_mg(other), u_residual_mg(other))
    return carried if carried.explains_both else None


def leaf_of(node: BalanceNode) -> str:
    """Return the lot that a balance is about: what it made on the way to the stones, else what it took."""
    mine = node.lots_in if node.stage in {"milling", "counting"} else node.lots_out
    return next(iter(mine), node.name)


def mass_of(lot: str, nodes: Sequence[BalanceNode]) -> int:
    """Return the mass of a lot as read, from the line in which a balance takes it in or puts it out."""
    masses = [line.mass_mg for n in nodes for line in n.lines if line.lot == lot and line.side in {Side.IN, Side.OUT}]
    return max(masses, default=0)


def as_read_mg(node: BalanceNode, dry_mg: float) -> float:
    """Return a dry mass as it would be read, at the moisture of what went in."""
    wet_mg = node.at_risk_mg
    return dry_mg * wet_mg / node.balance.input_mg if node.balance.input_mg else dry_mg
