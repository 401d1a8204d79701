"""Packs that somebody counted on the shelf, against those that the book has there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from lots.models import PackMove, Step, StockCount
from lots.read.outgoing import SeriesTrace
from lots.read.series import BACK


@dataclass(frozen=True, slots=True)
class CountedPacks:
    """How many packs of a series are on the shelf as somebody counted them, and when (None: just now, for a report)."""

    pack_count: int
    counted_at: dt.datetime | None = None


def counted_packs(series: Iterable[SeriesTrace], typed: Mapping[int, int]) -> dict[int, CountedPacks]:
    """Return the counted series by id: what was typed just now, else the last stock count less what left since."""
    rows = list(series)
    found = {one.series: CountedPacks(typed[one.series]) for one in rows if one.series in typed}
    open_rows = {one.lot.code: one for one in rows if one.series not in found}
    taken_back = Exists(Step.objects.filter(corrects=OuterRef("step_id"), part="reverse"))
    counts = StockCount.objects.filter(~taken_back, lot__code__in=open_rows).select_related("lot__series", "step").order_by("pk")
    last = {count.lot.code: count for count in counts}
    return found | {open_rows[code].series: on_shelf(count) for code, count in last.items() if count.lot.series.mean_mg}


def on_shelf(count: StockCount) -> CountedPacks:
    """Return the packs that a stock count found, less those that left after it."""
    unit = count.lot.series
    later = PackMove.objects.filter(unit=unit.pk, step__gt=count.pk).values_list("fate", "pack_count")
    gone = sum(-packs if fate in BACK else packs for fate, packs in later)
    return CountedPacks(max(round(count.counted_mg / unit.mean_mg) - gone, 0), count.step.happened_at)
