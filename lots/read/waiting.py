"""What lies ready for the next hand: lots of some materials that the book still has."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery

from lots.models import MillingRun, Stock
from lots.read.names import lot_name


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
