"""Tests and release in the demo book: limits that were read, two samples, results, a decision by two persons, tastings, a complaint."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.utils import timezone

from lots.models import Lot, PackedUnit
from lots.read.results import results_of
from lots.record import complaining, limit_tables, releasing, sampling, tasting, testing
from lots.record.acts import Act
from lots.record.limit_tables import LimitLine
from lots.record.registers import enter

FIGURES = ("value", "loq", "u_expanded")


def lay_release(file: Path) -> None:
    """Record tests and release of the demo beside its season."""
    data = json.loads(file.read_text(encoding="utf-8"))
    limit_tables.load(Act("A"), rows=[limit_line(number, row) for number, row in enumerate(data["limits"], 1)])
    laboratory = data["laboratory"]
    enter(Act("A"), table="party", code=laboratory["code"], fields={k: laboratory[k] for k in ("name", "contact", "roles")})
    enter(Act("A"), table="release_rule", code=data["rule"]["code"], fields={k: v for k, v in data["rule"].items() if k != "code"})
    for row in data["samples"]:
        asked = {k: row[k] for k in ("sample_no", "method", "pack_count", "seal_no", "taker")}
        lot = packs_of(row["ref"], retained=row.get("retained", False))
        sampling.take(Act("C"), lot=lot.code, **asked, laboratory=laboratory["code"], happened_at=moment(row["at"]))
    for row in data["results"]:
        lay_result(row, laboratory["code"])
    lay_decision(data["decision"])
    for row in data["tastings"]:
        marks = dict(zip(tasting.MARKED, row["marks"], strict=True))
        tasting.note(
            Act("A"), lot=packs_of(row["ref"]).code, taster="A", tasted_on=day_of(row["at"]), marks=marks, blind=row["blind"],
            aroma=row["aroma"], taste=row["taste"], happened_at=moment(row["at"]),
        )
    told = data["complaint"]
    complaining.take(
        Act("A"), lot=packs_of(told["ref"]).code, received_on=day_of(told["at"]), happened_at=moment(told["at"]),
        **{k: told[k] for k in ("what", "seriousness", "contact", "done")},
    )


def limit_line(number: int, row: dict[str, Any]) -> LimitLine:
    """Return one row of the table of limits."""
    days = {k: dt.date.fromisoformat(row[k]) for k in ("valid_from_on", "valid_to_on") if k in row}
    return LimitLine(number, row["code"], {k: v for k, v in row.items() if k != "code"} | days)


def lay_result(row: dict[str, Any], laboratory: str) -> None:
    """Record one result of a sample."""
    figures = {name: Decimal(row[name]) for name in FIGURES if name in row}
    testing.result(
        Act("A"), laboratory=laboratory, sample_no=row["sample_no"], parameter=row["parameter"], found=row["found"], unit=row["unit"],
        basis="as sold", method=row["method"], accreditation="ISO/IEC 17025", report_no="TC-2026-118", reported_on=day_of(row["at"]),
        happened_at=moment(row["at"]), **figures,
    )


def lay_decision(row: dict[str, Any]) -> None:
    """Record a release by one person and its confirmation by another."""
    lot = packs_of(row["ref"])
    done = releasing.release(
        Act("B"), lot=lot.code, markets=tuple(row["markets"]), ground=row["ground"], results=[one.pk for one in results_of(lot)],
        happened_at=moment(row["at"]),
    )
    releasing.confirm(Act("F"), decision=done.step or 0, happened_at=moment(row["confirmed_at"]))


def packs_of(ref: str, *, retained: bool = False) -> Lot:
    """Return the lot of tins of a packing run by the maker's reference."""
    rows = PackedUnit.objects.filter(lot__maker_ref=ref, retained=retained, product__kind="tin").select_related("lot__step")
    return rows.order_by("pk")[0].lot


def moment(text: str) -> dt.datetime:
    """Return a moment of the file."""
    return dt.datetime.fromisoformat(text)


def day_of(text: str) -> dt.date:
    """Return the mill's day of a moment of the file."""
    return timezone.localtime(moment(text)).date()
