"""Blend: leaf or powder of several lots is poured together in the mixer, after a plan or without one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.models import Blending, DriedLeafLot, Equipment, Flow, Lot, Step
from lots.read.blending import PlanTold, mixed, parts_of, plan_told
from lots.record.acts import act
from lots.record.claiming import ask_about_claim
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, find_lot
from lots.record.mixing import moisture_together
from lots.record.writing import Writing

LEAF, POWDER = ("refined_leaf", "left_over"), ("sieved_powder", "bulk_powder")


@dataclass(frozen=True, slots=True)
class Poured:
    """A lot that was poured, as it was weighed; without a mass all that the book has of it."""

    lot: str
    mass: Weight | None = None


@dataclass(frozen=True, slots=True)
class Mixed:
    """What came out of the mixer: the blend, what was left in it as a lot of its own, moisture, minutes as seconds."""

    blend: Weight
    left: Weight | None = None
    moisture: Moisture | None = None
    mixed_s: int | None = None
    mixer: str = ""


@act("blending.leaf")
def blend_leaf(
    w: Writing, *, poured: Sequence[Poured], mixed: Mixed, plan: int | None = None, losses: dict[str, Weight] | None = None,
    happened_at: dt.datetime | None = None, maker_ref: str = "",
) -> None:
    """Record a blend of leaf for the stones."""
    step = w.step("blending", "leaf", happened_at, equipment=mixer(w, mixed.mixer))
    blend(w, step, LEAF, poured, mixed, plan, losses or {}, maker_ref)


@act("blending.powder")
def blend_powder(
    w: Writing, *, poured: Sequence[Poured], mixed: Mixed, plan: int | None = None, losses: dict[str, Weight] | None = None,
    happened_at: dt.datetime | None = None, maker_ref: str = "",
) -> None:
    """Record a blend of powder for packing."""
    step = w.step("blending", "powder", happened_at, equipment=mixer(w, mixed.mixer))
    blend(w, step, POWDER, poured, mixed, plan, losses or {}, maker_ref)


def mixer(w: Writing, code: str) -> Equipment | None:
    """Return the mixer of the register, nothing where none was named."""
    return w.in_force(Equipment, code, "machines", "mixer") if code else None


def blend(
    w: Writing, step: Step, materials: tuple[str, str], poured: Sequence[Poured], made: Mixed, plan: int | None,
    losses: dict[str, Weight], maker_ref: str,
) -> None:
    """Write one blend: draws in the order of pouring, the blend, what stayed in the mixer."""
    if len(poured) < 2:
        raise Refused(_("A blend has at least two weighings. Scan each lot as it is poured, with its kilograms."), "poured")
    told = followed(plan)
    lines = Lines(w, step)
    fed = [lines.draw(find_lot(one.lot, "poured"), one.mass) for one in poured]
    wet = moisture_together(lines, materials[0], made.moisture, fed)
    whole = lines.open(materials[0], made.blend, wet, maker_ref)
    if materials[0] == "refined_leaf":
        w.add(DriedLeafLot(lot=whole, grade="", shelf=""))
    if made.left is not None and made.left.mass_mg:
        lines.open(materials[1], made.left, wet)
    for reason, weight in losses.items():
        if weight.mass_mg:
            lines.lose(reason, weight, wet)
    w.add(Blending(step=step, plan_id=told.step if told else None, mixed_s=made.mixed_s, left_mg=made.left.mass_mg if made.left else 0))
    if told is not None and told.kind:
        ask_about_claim(w, mixed(parts_of(drawn(fed))), told.kind, told.label, told.least_frac)
    judge(w, "blending")


def drawn(fed: Sequence[Flow]) -> list[tuple[Lot, int]]:
    """Return what was drawn of each lot."""
    return [(flow.lot, flow.mass_mg) for flow in fed if flow.lot is not None]


def followed(plan: int | None) -> PlanTold | None:
    """Return the plan that a blend follows, or refuse one that is not there."""
    if plan is None:
        return None
    told = plan_told(plan)
    if told is None:
        raise Refused(_("There is no plan number %(number)s.") % {"number": plan}, "plan")
    return told
