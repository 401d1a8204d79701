"""Balances laid out as rows, each alone or summed by lot, stage, week or machine."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from urllib.parse import urlencode

from lots.balance.totals import total
from lots.desk.saying import machine_word, node_name, node_stage_word
from lots.desk.tables.balances import JUDGED, GroupRow, NodeRow
from lots.desk.ways import way
from lots.desk.words import language
from lots.read.balances import BalanceNode
from lots.read.faults import leaf_of

NAMED_MAX = 6


def known(mass_mg: float) -> float | None:
    """Return a mass, or nothing where it is not known."""
    return mass_mg if math.isfinite(mass_mg) else None


def listed(lots: Sequence[str]) -> str:
    """Return the names of lots, the first few."""
    more = len(lots) - NAMED_MAX
    return " ".join([*lots[:NAMED_MAX], *([f"+{more}"] if more > 0 else [])])


def node_row(node: BalanceNode) -> NodeRow:
    """Return one balance as a row."""
    b = node.balance
    return NodeRow(
        step=node.step, href=way("balance-node", node.step), name=node_name(node), stage=node.stage,
        happened_at=node.happened_at, week=node.week, machine=node.machine, lots_in=listed(node.lots_in),
        lots_out=listed(node.lots_out), at_risk_mg=node.at_risk_mg, input_mg=known(b.input_mg), output_mg=known(b.output_mg),
        lost_mg=known(b.lost_mg), d_mg=known(b.d_mg), e_mg=known(b.e_mg), u_mg=known(b.u_mg), z=b.z, verdict=b.verdict,
    )


#: By what balances can be summed: the key of each, and its name.
BY: dict[str, tuple[Callable[[BalanceNode], str], Callable[[str], str]]] = {
    "lot": (leaf_of, str),
    "stage": (lambda n: n.stage, node_stage_word),
    "week": (lambda n: n.week, str),
    "machine": (lambda n: n.machine, machine_word),
}


def group_rows(nodes: Iterable[BalanceNode], by: str, year: int) -> list[GroupRow]:
    """Return balances summed, in the order of the process for stages, of their names for the rest."""
    key, name = BY[by]
    grouped: dict[str, list[BalanceNode]] = defaultdict(list)
    for node in nodes:
        grouped[key(node)].append(node)
    order = {stage: str(place) for place, stage in enumerate(JUDGED)}
    keys = sorted((k for k in grouped if k), key=lambda k: order.get(k, k))
    return [group_row(name(k), grouped[k], link(by, k, year)) for k in keys]


def link(by: str, key: str, year: int) -> str:
    """Return where the balances of a group stand one by one."""
    if by == "week":
        return ""
    asked = {"stage": key} if by == "stage" else {"q": key}
    return f"{way('balance')}?{urlencode({'by': 'all', 'year': year, **asked})}"


def group_row(name: str, nodes: Sequence[BalanceNode], href: str) -> GroupRow:
    """Return the sum of some balances as a row."""
    summed = total([n.balance for n in nodes], language())
    b, judged = summed.balance, summed.judged_count
    return GroupRow(
        name=name, href=href, count=len(nodes), unjudged_count=summed.unjudged_count,
        input_mg=b.input_mg if judged else None, d_mg=b.d_mg if judged else None, e_mg=b.e_mg if judged else None, z=b.z,
        verdict=b.verdict, worst=summed.worst,
    )
