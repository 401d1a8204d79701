"""Where lots stand: the last shelf on which each was put and from which nobody took it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from lots.models import Lot, Place, ShelfCount, ShelfMissed, Shelving, Step, StockCount
from lots.read.balances import not_taken_back
from lots.read.names import LotName, lot_name

PUT = "put"


@dataclass(frozen=True, slots=True)
class Standing:
    """A lot on a shelf: since when, and what the book has of it as read."""

    lot: LotName
    place: str
    since_at: dt.datetime
    book_mg: int


def standing_rows() -> QuerySet[Shelving]:
    """Return for each lot its last shelving that stands, where it was put and something of it is left."""
    gone = Step.objects.filter(corrects=OuterRef("step_id"), part="reverse")
    stand = Shelving.objects.filter(~Exists(gone))
    later = stand.filter(lot=OuterRef("lot"), step__gt=OuterRef("step_id"))
    last = stand.filter(~Exists(later.filter(~Exists(gone))), step__part=PUT)
    here = last.filter(lot__stock__emptied=False, lot__stock__book_mg__gt=0)
    return here.select_related("lot__stock", "place", "step").order_by("lot_id")


def lots_at(place: str) -> list[Lot]:
    """Return the lots that stand on a shelf by the book, in order of record."""
    return [row.lot for row in standing_rows().filter(place__code=place)]


def place_of(lot: Lot) -> str:
    """Return the code of the shelf on which a lot stands, empty where nobody has said."""
    row = standing_rows().filter(lot=lot).first()
    return row.place.code if row else ""


def standing(places: Iterable[str] = ()) -> list[Standing]:
    """Return what stands where, by shelf; of some shelves only where they are named."""
    rows, only = standing_rows().order_by("place__code", "lot_id"), list(places)
    if only:
        rows = rows.filter(place__code__in=only)
    return [Standing(lot_name(r.lot), r.place.code, r.step.happened_at, r.lot.stock.book_mg) for r in rows]


@dataclass(frozen=True, slots=True)
class CountedLot:
    """A lot of a counted shelf: what was weighed, and what the book had."""

    lot: LotName
    counted_mg: int
    book_mg: int


@dataclass(frozen=True, slots=True)
class CountedShelf:
    """A shelf that was counted: when, its lots, and those that should stand there and were not met."""

    place: str
    at: dt.datetime
    lots: tuple[CountedLot, ...]
    missed: tuple[LotName, ...]


def counted_shelf(step: int) -> CountedShelf:
    """Return one count of a whole shelf."""
    row = ShelfCount.objects.select_related("place", "step").get(pk=step)
    counts = StockCount.objects.filter(step__entry=row.step.entry_id).select_related("lot").order_by("pk")
    missed = ShelfMissed.objects.filter(step=step).select_related("lot").order_by("pk")
    told = tuple(CountedLot(lot_name(one.lot), one.counted_mg, one.book_mg) for one in counts)
    return CountedShelf(row.place.code, row.step.happened_at, told, tuple(lot_name(one.lot) for one in missed))


def last_counts() -> dict[str, dt.datetime]:
    """Return when each shelf was counted last."""
    stand = Step.objects.filter(not_taken_back(), stage="counting", part="place").values("pk")
    rows = ShelfCount.objects.filter(step__in=stand).order_by("pk").values_list("place__code", "step__happened_at")
    return dict(rows)


def shelves() -> list[Place]:
    """Return every shelf in use."""
    later = Place.objects.filter(code=OuterRef("code"), version__gt=OuterRef("version"))
    return list(Place.objects.filter(~Exists(later), retired=False).order_by("code"))
