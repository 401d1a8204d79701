"""Stock count: a person weighs what is on the shelf; the book's figure is shown only afterwards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import StockCount
from lots.read.counting import lines_of_count
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Weight, find_lot, find_lots
from lots.record.writing import Writing


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
    if counted.mass_mg < 0:
        raise Refused(_("What was counted cannot be below nothing."), "counted_mg")
    main = find_lot(lot)
    bags = [bag for bag in find_lots(with_lots, "with_lots") if bag.pk != main.pk]
    step = w.step("counting", "shelf", happened_at)
    lines = Lines(w, step)
    book_mg = sum(lines.book_mg(one) for one in (main, *bags))
    lines.differ(main, counted.mass_mg - book_mg, "counted")
    for bag in bags:
        lines.differ(bag, 0, "counted with")
    row = w.add(StockCount(
        step=step, lot=main, counted_mg=counted.mass_mg, book_mg=book_mg, reading_count=counted.reading_count,
        scale=lines.scale(counted.scale),
    ))
    judge(w, "counting", lines_of_count(row, [bag.pk for bag in bags]))
