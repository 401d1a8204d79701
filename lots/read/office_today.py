"""What the office has to say on the first page; worked out anew every ten minutes, because that page is opened all day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.core.cache import cache
from django.utils import timezone

from lots.balance.certified import Certified
from lots.models import FieldPlot, JournalEntry
from lots.quality.authorising import Grant
from lots.read.authorising import expiring
from lots.read.certified import organic_check
from lots.read.period import PeriodBook, Span
from lots.read.recall_team import duties, trial_due_on

KEPT_S = 10 * 60


@dataclass(frozen=True, slots=True)
class OfficeToday:
    """Organic tea against its leaf (None: no organic plot), authorisations that run out, and the trial of the recall plan where
    it is over its time: ``trial_due_on`` None with ``is_trial_overdue`` says that a task was never tried."""

    organic: Certified | None
    expiring: tuple[Grant, ...]
    trial_due_on: dt.date | None
    is_trial_overdue: bool


def office_today(span: Span, now: dt.datetime) -> OfficeToday | None:
    """Return the office's word, nothing for an empty book."""
    book = JournalEntry.objects.filter(seq=0).values_list("leaf_hash", flat=True).first()
    if book is None:
        return None
    today = timezone.localtime(now).date()
    key = f"office-{bytes(book).hex()}-{span.first_on}-{span.last_on}-{today}"
    found: OfficeToday | None = cache.get(key)
    if found is None:
        found = worked_out(span, today)
        cache.set(key, found, KEPT_S)
    return found


def worked_out(span: Span, today: dt.date) -> OfficeToday:
    """Return the office's word from the book."""
    has_organic = FieldPlot.objects.filter(state=FieldPlot.State.ORGANIC).exists()
    team = duties()
    due = trial_due_on([duty.tested_on for duty in team])
    overdue = bool(team) and (due is None or due < today)
    return OfficeToday(organic_check(PeriodBook(), span) if has_organic else None, tuple(expiring(today)), due, overdue)
