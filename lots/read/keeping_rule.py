"""Until when packs keep: the rule of a product, and the day on which its time begins."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.db.models import Min
from django.utils import timezone

from lots.models import LabelVersion, Product, Step
from lots.read.balances import not_taken_back
from lots.read.walking import up
from lots.trade.best_before import BestBefore


def rule_of(row: Product | LabelVersion) -> BestBefore:
    """Return the best-before rule of a product, or the one that a label is printed by."""
    return BestBefore(row.keeps_days, row.keeps_months, row.keeps_from, row.best_before_form)


def milled_first_on(steps: Iterable[int]) -> dt.date | None:
    """Return the day on which the oldest powder in some steps came off the stones; None where no milling is in the book."""
    tubs = Step.objects.filter(not_taken_back(), pk__in=up(steps), stage="milling", part="tub")
    first = tubs.aggregate(first=Min("happened_at"))["first"]
    return timezone.localtime(first).date() if first else None
