"""The book by the year: which years it has, when it was last written in, and the balances of one year."""

from __future__ import annotations

import datetime as dt

from django.db.models import Max, Min
from django.utils import timezone

from lots.models import Step
from lots.read.balances import (
    SINGLE,
    BalanceNode,
    nodes_of_counts,
    nodes_of_runs,
    nodes_of_steps,
    not_taken_back,
    standing_counts,
)
from lots.read.milling import standing_runs

Span = tuple[dt.datetime, dt.datetime]


def newest_at() -> dt.datetime | None:
    """Return when the newest act of the book happened, or nothing for an empty book."""
    newest: dt.datetime | None = Step.objects.aggregate(at=Max("happened_at"))["at"]
    return newest


def years() -> list[int]:
    """Return the years that the book spans at the mill, newest first."""
    ends = Step.objects.aggregate(first=Min("happened_at"), last=Max("happened_at"))
    if ends["first"] is None:
        return []
    first, last = (timezone.localtime(ends[name]).year for name in ("first", "last"))
    return list(range(last, first - 1, -1))


def span_of(year: int) -> Span:
    """Return the first moment of a year at the mill and that of the next."""
    first, after = (timezone.make_aware(dt.datetime(y, 1, 1)) for y in (year, year + 1))  # noqa: DTZ001 - made aware here
    return first, after


def nodes_of_year(year: int) -> list[BalanceNode]:
    """Return every balance of one year in order of record."""
    first, after = span_of(year)
    steps = Step.objects.filter(not_taken_back(), stage__in=SINGLE, happened_at__gte=first, happened_at__lt=after)
    within = {"step__happened_at__gte": first, "step__happened_at__lt": after}
    counts = standing_counts().filter(**within).select_related("lot", "step", "scale").order_by("pk")
    found = [
        *nodes_of_steps(steps.values_list("pk", flat=True)),
        *nodes_of_runs(standing_runs().filter(closed=True, **within)),
        *nodes_of_counts(counts),
    ]
    return sorted(found, key=lambda n: n.step)
