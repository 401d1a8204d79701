"""What the demo's packing room sells beside the season: sales units that nest, cases of one lot, open orders. All invented."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

from lots.models import PackedUnit, SalesCase
from lots.record import casing, ordering
from lots.record.acts import Act
from lots.record.leaving import Packs
from lots.record.registers import enter

CLERK, PACKER = "A", "F"


def lay_sale(path: Path) -> None:
    """Record the invented rows of a file through the recorders."""
    data = json.loads(path.read_text(encoding="utf-8"))
    for row in data["units"]:
        enter(Act(CLERK), table="sales_unit", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    codes = list(cartons(data["cartons"]))
    case = data["case"]
    casing.close(Act(PACKER), sales_unit=case["sales_unit"], scanned=codes[: case["count"]], happened_at=moment(case))
    casing.open_again(Act(PACKER), case=codes[-1], why=data["opened"]["why"], happened_at=moment(data["opened"]))
    for row in data["orders"]:
        asked = {k: row[k] for k in ("ship_to", "lines", "reference", "market")} | {"bill_to": row.get("bill_to", "")}
        ordering.take(Act(CLERK), **asked, wanted_on=dt.date.fromisoformat(row["wanted_on"]), happened_at=moment(row))


def cartons(row: dict[str, Any]) -> list[str]:
    """Close cartons of packs in a row, and return their codes."""
    series = PackedUnit.objects.select_related("lot").get(lot__maker_ref=row["ref"], product__kind=row["kind"], retained=False)
    steps = []
    for number in range(row["count"]):
        packs = Packs(series.lot.code, row["pack_count"], row["first_no"] + number * row["pack_count"])
        at = moment(row) + dt.timedelta(minutes=4 * number)
        steps.append(casing.close(Act(PACKER), sales_unit=row["sales_unit"], counted=packs, happened_at=at).step)
    return list(SalesCase.objects.filter(step__in=steps).order_by("pk").values_list("code", flat=True))


def moment(row: dict[str, Any]) -> dt.datetime:
    """Return when a row happened."""
    return dt.datetime.fromisoformat(row["at"])
