"""Bins: several lots of one material are brought together in a new one, since a lot never grows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import Combining, DriedLeafLot, Lot
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, find_lots
from lots.record.mixing import moisture_together
from lots.record.words import material_word
from lots.record.writing import Writing


@act("combining.combine")
def combine(
    w: Writing,
    *,
    lots: Sequence[str],
    together: Weight,
    moisture: Moisture | None = None,
    losses: dict[str, Weight] | None = None,
    bin_name: str = "",
    why: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Record whole lots of one material that were put into one bin, and the bin's weighing."""
    found = find_lots(lots, "lots")
    material = one_material(found)
    step = w.step("combining", "combine", happened_at)
    lines = Lines(w, step)
    fed = [lines.draw(lot) for lot in found]
    wet = moisture_together(lines, material, moisture, fed)
    made = lines.open(material, together, wet, maker_ref)
    if material == "refined_leaf":
        w.add(DriedLeafLot(lot=made, grade="", shelf=""))
    for reason, weight in (losses or {}).items():
        if weight.mass_mg:
            lines.lose(reason, weight, wet)
    w.add(Combining(step=step, bin_name=bin_name.strip(), why=why.strip()))
    judge(w, "combining")


def one_material(lots: Sequence[Lot]) -> str:
    """Return the material of all lots, or refuse a bin of one lot and one of several materials."""
    if len(lots) < 2:
        raise Refused(_("Scan the lots that went into the bin, at least two."), "lots")
    first = lots[0].material
    other = next((lot for lot in lots if lot.material != first), None)
    if other is not None:
        msg = _("Lot %(first)s is %(one)s and lot %(other)s is %(two)s. A bin holds one material; write down a blend instead.")
        words = {"first": lots[0], "one": material_word(first), "other": other, "two": material_word(other.material)}
        raise Refused(msg % words, "lots")
    return first
