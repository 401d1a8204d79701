"""Stock counts: the balance of a shelf from its last count (or from the weighing that opened the lot) to this one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.db.models import Q
from django.db.models.functions import Coalesce

from lots.models import Flow, StockCount
from lots.read.closing import counted_line, shelf_lines
from lots.trade.weighing import Side, Weighing


def counted_with(step: int) -> list[int]:
    """Return the bags that were weighed together with the counted lot."""
    return list(Flow.objects.filter(step=step, role="counted with").values_list("lot_id", flat=True))


def lines_of_count(count: StockCount, bags: Sequence[int] | None = None) -> list[Weighing]:
    """Return the lines of one count's balance; ``bags`` are given while the count itself is not written yet."""
    with_bags = list(bags if bags is not None else counted_with(count.pk))
    lines_at = (
        Flow.objects.annotate(at=Coalesce("step__corrects_id", "step_id")).select_related("scale", "lot").order_by("pk")
    )
    before = lines_at.filter(at__lt=count.pk)
    standing = StockCount.objects.exclude(step__corrected_by__part="reverse")
    earlier = standing.filter(lot=count.lot_id, pk__lt=count.pk).order_by("-pk").first()
    start = earlier.pk if earlier else 0
    opening = list(before.filter(lot=count.lot_id, kind=Flow.Kind.OUT))
    issued = list(before.filter(Q(lot=count.lot_id) | Q(lot__in=with_bags), kind=Flow.Kind.IN, at__gt=start))
    known = set(counted_with(start)) if earlier else set()
    returned = list(before.filter(lot__in=[b for b in with_bags if b not in known], kind=Flow.Kind.OUT))
    counted = (count.counted_mg, count.reading_count, count.scale)
    lines = shelf_lines(opening, issued, returned, counted)
    return from_earlier(lines, earlier) if earlier else lines


def from_earlier(lines: list[Weighing], earlier: StockCount) -> list[Weighing]:
    """Put the last count in the place of the weighing that opened the lot."""
    start = counted_line(lines[0], earlier.counted_mg, earlier.reading_count, earlier.scale)
    return [replace(start, side=Side.IN), *[line for line in lines if line.side is not Side.IN]]
