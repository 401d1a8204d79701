"""The balances of one matter as a flow to scale: a step, or two that follow each other, on dry matter."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.balance.propagation import dry_mg
from lots.desk.saying import capital, node_name, node_stage_word
from lots.desk.words import material_word
from lots.read.balances import BalanceNode
from lots.trade.materials import MATERIALS
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.weighing import Side, Weighing

#: What stays where it is, and so does not run on.
STAYS = ("left_over", "bulk_powder", "counted")


def flow_of(nodes: Sequence[BalanceNode]) -> SeasonFlow | None:
    """Return balances that follow each other as a flow; None where a moisture is missing: then no width is known."""
    if not all(math.isfinite(n.balance.input_mg) and math.isfinite(n.balance.output_mg) for n in nodes):
        return None
    return SeasonFlow(tuple(stage_of(n) for n in nodes), ", ".join(node_name(n) for n in nodes))


def stage_of(node: BalanceNode) -> StageFlow:
    """Return one balance as a stage of the flow."""
    ins = [line for line in node.lines if line.side is Side.IN]
    label = line_word(ins[0]) if ins else ""
    streams = [*outputs(node), *losses(node), difference(node)]
    return StageFlow(capital(node_stage_word(node.stage)), "", label, node.balance.input_mg, tuple(streams))


def outputs(node: BalanceNode) -> list[Stream]:
    """Return what came out, lines of one kind together; leaf that came back to the shelf is taken off what was issued."""
    masses: dict[str, float] = defaultdict(float)
    for line in node.lines:
        if line.side is Side.OUT:
            masses[line.label] += dry_mg(line)
        elif line.side is Side.LOST and line.mass_mg < 0:
            masses["charge"] += dry_mg(line)
    return [Stream(out_word(label, node.stage), branch_of(label), mass) for label, mass in masses.items()]


def losses(node: BalanceNode) -> list[Stream]:
    """Return what was lost for a named reason."""
    return [Stream(material_word(line.label), Branch.DECLARED, dry_mg(line))
            for line in node.lines if line.side is Side.LOST and line.mass_mg > 0]


def difference(node: BalanceNode) -> Stream:
    """Return what was not found, or is too much."""
    b = node.balance
    surplus = b.d_mg < 0
    label = _("too much on the shelf") if surplus and node.stage == "counting" else _("too much") if surplus else _("not found")
    return Stream(label, Branch.UNEXPLAINED, b.d_mg, b.e_mg, b.verdict)


def branch_of(label: str) -> Branch:
    """Return whether a line runs on, stays, or goes aside."""
    if label in STAYS:
        return Branch.SHELF
    material = MATERIALS.get(label)
    aside = material is not None and (material.by_product or label == "retained_tea")
    return Branch.BY_PRODUCT if aside else Branch.MAIN


def out_word(label: str, stage: str, *, net: bool = True) -> str:
    """Return the words of what came out; ``net`` where what was brought back is taken off."""
    if label == "charge" and stage == "counting":
        return _("to the stones, less returned") if net else _("to the stones")
    return _("counted on the shelf") if label == "counted" else material_word(label)


def line_word(line: Weighing) -> str:
    """Return the words of what went in."""
    if line.label == "charge":
        return _("leaf charged")
    return _("counted before") if line.label == "counted" else material_word(line.label)
