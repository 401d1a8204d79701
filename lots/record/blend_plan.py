"""A blend is planned: which lots, how much of each in which order, and what shall be said of it afterwards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from lots.models import BlendPart, BlendPlan
from lots.read.blending import mixed, parts_of
from lots.record.acts import act
from lots.record.claiming import ask_about_claim
from lots.record.errors import Refused
from lots.record.lines import Lines, find_lot
from lots.record.words import kg
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Planned:
    """A lot of a plan and the mass that is meant, in mg."""

    lot: str
    mass_mg: int


@act("blend_plan.plan")
def plan(
    w: Writing,
    *,
    name: str,
    parts: Sequence[Planned],
    kind: str = "",
    label: str = "",
    least_frac: Decimal = Decimal(1),
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a plan. A claim that these shares cannot keep, and more than the book has of a lot, is asked about."""
    if not name.strip():
        raise Refused(_("Give the blend a name."), "name")
    if len(parts) < 2:
        raise Refused(_("A blend has at least two lots. Scan them with the kilograms that are meant."), "parts")
    if kind and not (label.strip() and 0 < least_frac <= 1):
        raise Refused(_("Say of what the blend shall be, and how much of it at least."), "label")
    step = w.step("blend_plan", "plan", happened_at)
    lines = Lines(w, step)
    w.add(BlendPlan(step=step, name=name.strip(), kind=kind, label=label.strip() if kind else "", least_frac=least_frac))
    found = [(find_lot(part.lot, "parts"), part.mass_mg) for part in parts]
    for lot, mass_mg in found:
        if mass_mg <= 0:
            raise Refused(_("How much of lot %(lot)s is meant? More than nothing.") % {"lot": lot}, "parts")
        if mass_mg > lines.book_mg(lot):
            msg = _("%(planned)s kg of lot %(lot)s are planned and the book has %(book)s kg.")
            w.question(msg % {"planned": kg(mass_mg), "lot": lot, "book": kg(lines.book_mg(lot))}, "parts")
        w.touch(lot)
        w.add(BlendPart(step=step, lot=lot, planned_mg=mass_mg))
    if kind:
        ask_about_claim(w, mixed(parts_of(found)), kind, label.strip(), float(least_frac))
