"""What a label says: the packs of a series with their codes, and lots with theirs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from lots.codes.packs import pack_code
from lots.models import Lot, PackedUnit, PackMove, PackSecret, Product
from lots.read.names import printed


@dataclass(frozen=True, slots=True)
class SeriesFace:
    """What is the same on every pack of a series. ``unit`` is the series' id, ``lot`` its name, ``code`` its lot's code."""

    unit: int
    lot: str
    code: str
    product: str
    product_ja: str
    kind: str
    net_mg: int
    run_no: int
    first_no: int
    last_no: int
    packed_on: dt.date
    best_before_on: dt.date
    retained: bool
    month_only: bool = False


@dataclass(frozen=True, slots=True)
class LotFace:
    """What a lot's label says: the stage that opened it, its code, the maker's reference, material, mass and day."""

    code: str
    ref: str
    stage: str
    material: str
    mass_mg: int
    opened_at: dt.datetime


def series_faces(lot_ids: Sequence[int]) -> list[SeriesFace]:
    """Return the series among some lots, in order of their numbers."""
    rows = PackedUnit.objects.filter(lot__in=list(lot_ids)).select_related("product", "lot").order_by("run_no", "first_no")
    return [series_face(row) for row in rows]


def series_face(unit: PackedUnit) -> SeriesFace:
    """Return what is the same on every pack of a series."""
    product, lot = unit.product, unit.lot
    return SeriesFace(
        unit.pk, lot.maker_ref or printed(lot.code), lot.code, product.name, product.name_ja, product.kind, product.net_mg, unit.run_no,
        unit.first_no, unit.last_no, unit.packed_on, unit.best_before_on, unit.retained,
        product.best_before_form == Product.Form.MONTH,
    )


def codes_of(face: SeriesFace, first_no: int, last_no: int) -> list[tuple[int, str]] | None:
    """Return numbers and folded codes of some packs of a series; None where the run's secret was erased."""
    row = PackSecret.objects.filter(pk=face.run_no).first()
    if row is None:
        return None
    secret = bytes(row.secret)
    return [(number, pack_code(face.run_no, number, secret)) for number in range(first_no, last_no + 1)]


def void_among(face: SeriesFace, first_no: int, last_no: int) -> int | None:
    """Return the first number of a range that the book calls void, or None."""
    rows = PackMove.objects.filter(unit=face.unit, fate=PackMove.Fate.VOID, first_no__lte=last_no, last_no__gte=first_no)
    first = rows.order_by("first_no").values_list("first_no", flat=True).first()
    return None if first is None else max(first, first_no)


def lot_faces(lots: Sequence[Lot]) -> list[LotFace]:
    """Return what the labels of some lots say, in the order given."""
    return [LotFace(lot.code, lot.maker_ref, lot.step.stage, lot.material, lot.mass_mg, lot.step.happened_at) for lot in lots]
