"""Stock count: a person weighs what is on the shelf; the book's figure is shown only afterwards. One lot, or a whole shelf."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.models import Lot, Place, ShelfCount, ShelfMissed, Shelving, StockCount
from lots.read.counting import lines_of_count
from lots.read.places import lots_at
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Weight, find_lot, find_lots
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Counted:
    """A lot of a shelf as it was weighed."""

    lot: str
    mass: Weight


@act("counting.shelf")
def count(
    w: Writing,
    *,
    lot: str,
    counted: Weight,
    with_lots: Sequence[str] = (),
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a count of a lot, weighed together with bags of its left-over (``with_lots``). The difference is booked."""
    main = find_lot(lot)
    count_lot(w, main, counted, [bag for bag in find_lots(with_lots, "with_lots") if bag.pk != main.pk], happened_at)


def count_lot(w: Writing, lot: Lot, counted: Weight, bags: Sequence[Lot], happened_at: dt.datetime | None) -> None:
    """Write one lot's count: a step of its own, its difference to the book, and the question where the shelf says stop."""
    if counted.mass_mg < 0:
        raise Refused(_("What was counted cannot be below nothing."), "counted_mg")
    step = w.step("counting", "shelf", happened_at)
    lines = Lines(w, step)
    book_mg = sum(lines.book_mg(one) for one in (lot, *bags))
    lines.differ(lot, counted.mass_mg - book_mg, "counted")
    for bag in bags:
        lines.differ(bag, 0, "counted with")
    row = w.add(StockCount(
        step=step, lot=lot, counted_mg=counted.mass_mg, book_mg=book_mg, reading_count=counted.reading_count,
        scale=lines.scale(counted.scale),
    ))
    judge(w, "counting", lines_of_count(row, [bag.pk for bag in bags]))


@act("counting.place")
def count_place(w: Writing, *, place: str, counted: Sequence[Counted], happened_at: dt.datetime | None = None) -> None:
    """Record a count of a whole shelf, lot by lot. What should stand there and was not weighed is written as missed; what
    was met there and stood elsewhere by the book stands here from now on."""
    step = w.step("counting", "place", happened_at)
    shelf = w.in_force(Place, place, "shelves", "place")
    expected, met = lots_at(shelf.code), each_once(counted)
    w.add(ShelfCount(step=step, place=shelf, expected_count=len(expected), counted_count=len(met)))
    for lot, mass in met:
        count_lot(w, lot, mass, (), happened_at)
        if lot.pk not in {one.pk for one in expected}:
            w.touch(lot)
            w.add(Shelving(step=w.step("shelving", "put", happened_at), lot=lot, place=shelf))
    for lot in expected:
        if lot.pk not in {one.pk for one, _mass in met}:
            w.touch(lot)
            w.add(ShelfMissed(step=step, lot=lot))
    w.step_id = step.pk


def each_once(counted: Sequence[Counted]) -> list[tuple[Lot, Weight]]:
    """Return the lots of a count, each once; the same lot twice may be two bags or one scanned again, so it is refused."""
    found: dict[int, tuple[Lot, Weight]] = {}
    for one in counted:
        lot = find_lot(one.lot, "counted")
        if lot.pk in found:
            msg = _("Lot %(lot)s stands twice in this count. Weigh its bags together and write one figure.")
            raise Refused(msg % {"lot": lot}, "counted")
        found[lot.pk] = (lot, one.mass)
    return list(found.values())
