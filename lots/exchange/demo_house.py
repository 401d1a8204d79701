"""The house of the demo: shelves with the refined leaf on them, and a blend that is planned."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from lots.models import Equipment, Stock
from lots.record import blend_plan, shelving
from lots.record.acts import Act
from lots.record.blend_plan import Planned
from lots.record.registers import enter

TEN_GRAMS_MG = 10_000


def lay_house(path: Path) -> None:
    """Enter the shelves and the mixer, put leaf on the shelves, plan a blend of two lots. No mass moves."""
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    for row in data["places"]:
        enter(Act("A"), table="place", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    if not Equipment.objects.filter(kind="mixer").exists():
        enter(Act("A"), table="equipment", code="MIX1", fields={"kind": "mixer", "name": "Drum mixer"})
    here = Stock.objects.filter(lot__material=data["lots_of"], emptied=False, book_mg__gt=0).select_related("lot").order_by("lot_id")
    rows = list(here[: data["put_most"]])
    for number, stock in enumerate(rows):
        order = data["shelf_order"]
        shelving.put(Act("B"), lot=stock.lot.code, place=order[number % len(order)])
    plan = data["plan"]
    share = Decimal(plan["share_of_book"])
    parts = [Planned(stock.lot.code, int(stock.book_mg * share) // TEN_GRAMS_MG * TEN_GRAMS_MG) for stock in rows[: plan["parts"]]]
    if len(parts) > 1 and all(part.mass_mg for part in parts):
        blend_plan.plan(Act("C"), name=plan["name"], parts=parts)
