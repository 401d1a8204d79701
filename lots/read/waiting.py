"""What lies ready for the next hand: lots of some materials that the book still has."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F, OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce

from lots.models import MillingRun, PackedUnit, PackMove, Stock
from lots.read.names import lot_name
from lots.read.series import AWAY, BACK


@dataclass(frozen=True, slots=True)
class Waiting:
    """A lot that waits: since when, how much the book has, and the job of the run that made it, if one did."""

    code: str
    name: str
    material: str
    since_at: dt.datetime
    book_mg: int
    job: str


def waiting(materials: Sequence[str], most: int = 30) -> list[Waiting]:
    """Return lots of these materials that are not used up, the oldest first."""
    job = MillingRun.objects.filter(step=OuterRef("lot__step__continues")).values("job")
    rows = (
        Stock.objects.filter(lot__material__in=materials, emptied=False, book_mg__gt=0)
        .select_related("lot__step")
        .annotate(job=Subquery(job[:1]))
        .order_by("lot_id")[:most]
    )
    return [
        Waiting(s.lot.code, lot_name(s.lot).name, s.lot.material, s.lot.step.happened_at, s.book_mg, s.job or "")  # type: ignore[attr-defined]
        for s in rows
    ]


@dataclass(frozen=True, slots=True)
class SeriesHere:
    """A series of packs of which some are in the house: its lot, kind, net content, count and last day."""

    code: str
    name: str
    kind: str
    net_mg: int
    here_count: int
    packed_on: dt.date
    best_before_on: dt.date


def series_here(most: int = 30) -> list[SeriesHere]:
    """Return the series that may leave, the one that expires first at the head; kept samples are left out."""
    moves = PackMove.objects.filter(unit=OuterRef("pk")).order_by().values("unit")
    gone = moves.filter(fate__in=AWAY).values(sum=Sum("pack_count"))
    back = moves.filter(fate__in=BACK).values(sum=Sum("pack_count"))
    rows = (
        PackedUnit.objects.filter(retained=False)
        .annotate(here=F("last_no") - F("first_no") + 1 - Coalesce(Subquery(gone), 0) + Coalesce(Subquery(back), 0))
        .filter(here__gt=0)
        .select_related("lot", "product")
        .order_by("best_before_on", "pk")[:most]
    )
    return [
        SeriesHere(
            u.lot.code, lot_name(u.lot).name, u.product.kind, u.product.net_mg, u.here, u.packed_on, u.best_before_on,  # type: ignore[attr-defined]
        )
        for u in rows
    ]
