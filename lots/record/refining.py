"""Sorting: crude leaf becomes refined leaf and its by-products; the refined leaf is a dried leaf lot, ready for the stone."""

from __future__ import annotations

import datetime as dt

from lots.models import DriedLeafLot, Equipment, Refining
from lots.record.acts import act
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, find_lot, taken_over
from lots.record.writing import Writing


@act("refining.batch")
def batch(
    w: Writing,
    *,
    lot: str,
    refined: Weight,
    refined_moisture: Moisture | None,
    by_products: dict[str, Weight],
    by_product_moistures: dict[str, Moisture] | None = None,
    losses: dict[str, Weight] | None = None,
    sorter: str = "",
    pass_count: int | None = None,
    screens: str = "",
    grade: str = "",
    shelf: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Record a sorting batch of a whole lot of crude leaf: refined leaf, vein and stem, fines, off-colour, spill."""
    step = w.step("refining", "batch", happened_at, equipment=w.in_force(Equipment, sorter, "machines", "sorter") if sorter else None)
    lines = Lines(w, step)
    crude = lines.draw(find_lot(lot))
    dried = lines.open("refined_leaf", refined, refined_moisture, maker_ref)
    w.add(DriedLeafLot(lot=dried, grade=grade, shelf=shelf))
    for material, weight in by_products.items():
        if weight.mass_mg:
            lines.open(material, weight, (by_product_moistures or {}).get(material))
    for reason, weight in (losses or {}).items():
        if weight.mass_mg:
            lines.lose(reason, weight, taken_over(crude))
    w.add(Refining(step=step, pass_count=pass_count, screens=screens))
    judge(w, "refining")
