"""What the demo's packing room records beside the season's packs: check-weighing, labels, kept samples. All invented."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

from lots.models import PackedUnit
from lots.record import checkweighing, keeping, labelling, receiving
from lots.record.acts import Act
from lots.record.keeping import Seen
from lots.record.labelling import Labels, Packaging
from lots.record.registers import enter

PACKER, QUALITY = "F", "B"
MG_PER_G = 1_000


def lay_packs(path: Path) -> None:
    """Record the invented rows of a file through the recorders."""
    data = json.loads(path.read_text(encoding="utf-8"))
    for row in data["labels"]:
        enter(Act(QUALITY), table="label_version", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    lay_packaging(data)
    for row in data["checks"]:
        weights = [round(g * MG_PER_G) for g, count in row["rows_g"] for _ in range(count)]
        checkweighing.weigh(Act(PACKER), lot=series(row), readings_mg=weights, scale="S3", happened_at=moment(row))
    for row in data["reprints"]:
        labelling.reprint(Act(PACKER), lot=series(row), print_count=row["print_count"], cause=row["cause"], happened_at=moment(row))
    for row in data["counts"]:
        labelling.count(
            Act(PACKER, reason=row.get("reason", "")), lot=series(row), label=row["label"], labels=Labels(*row["labels"]),
            marks=Labels(*row["marks"]), packaging=[Packaging(*one) for one in row["packaging"]], happened_at=moment(row),
        )
    for row in data["places"]:
        keeping.place(Act(QUALITY), lot=kept(row["ref"]), place=row["place"], happened_at=moment(row))
    seen = [Seen(kept(ref), count) for ref, count in data["round"]["seen"].items()]
    keeping.walk_round(Act(QUALITY), seen=seen, happened_at=moment(data["round"]))


def lay_packaging(data: dict[str, Any]) -> None:
    """Enter a supplier and his packaging, and take three lots of it in."""
    maker = data["supplier"]
    enter(Act(QUALITY), table="party", code=maker["code"], fields={k: v for k, v in maker.items() if k != "code"})
    for row in data["packaging_items"]:
        enter(Act(QUALITY), table="packaging_item", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    for row in data["packaging"]:
        receiving.packaging(
            Act(PACKER), item=row["item"], supplier=maker["code"], counted_count=row["count"], stated_count=row["count"],
            paper=receiving.Paper(number=row["paper"]), supplier_lot=row["code"], happened_at=moment(row),
        )


def moment(row: dict[str, Any]) -> dt.datetime:
    """Return when a row happened."""
    return dt.datetime.fromisoformat(row["at"])


def series(row: dict[str, Any]) -> str:
    """Return the lot of a series for sale by the maker's reference and the kind of its packs."""
    return PackedUnit.objects.select_related("lot").get(lot__maker_ref=row["ref"], product__kind=row["kind"], retained=False).lot.code


def kept(ref: str) -> str:
    """Return the lot of the kept samples of a run."""
    return PackedUnit.objects.select_related("lot").get(lot__maker_ref=ref, retained=True).lot.code
