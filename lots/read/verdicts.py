"""The balances that speak of a lot: that of the step or run that made it, and the counts of its shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from lots.balance.totals import worst_of
from lots.models import Lot
from lots.read.balances import BalanceNode, nodes_of_counts, standing_counts
from lots.read.machines import balances_of
from lots.trade.weighing import Verdict


def balances_of_lots(lots: Sequence[Lot]) -> dict[int, list[BalanceNode]]:
    """Return the balances of each lot (read with its step), in a handful of queries however many are asked for."""
    made = balances_of({lot.step.run_id for lot in lots})
    counts = standing_counts().filter(lot__in=[lot.pk for lot in lots]).select_related("lot", "step", "scale")
    counted = list(counts.order_by("pk"))
    of_step = {node.step: node for node in nodes_of_counts(counted)}
    found: dict[int, list[BalanceNode]] = defaultdict(list)
    for lot in lots:
        if lot.step.run_id in made:
            found[lot.pk].append(made[lot.step.run_id])
    for count in counted:
        found[count.lot_id].append(of_step[count.pk])
    return found


def worst_node(nodes: Sequence[BalanceNode]) -> BalanceNode | None:
    """Return the balance with the gravest verdict, the first of equals; None where there is no balance."""
    worst = worst_of(n.balance.verdict for n in nodes)
    return next((n for n in nodes if n.balance.verdict is worst), nodes[0] if nodes else None)


def verdict_of_lot(nodes: Sequence[BalanceNode]) -> Verdict | None:
    """Return the gravest verdict of a lot's balances; None where nothing judges it."""
    worst = worst_node(nodes)
    return worst.balance.verdict if worst else None
