"""Late entries: what was not written on the day on which it happened."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import F
from django.utils import timezone

from lots.models import JournalEntry
from lots.read.events import badges_of
from lots.read.period import Span


@dataclass(frozen=True, slots=True)
class LateEntry:
    """An entry that was written on a later day than it happened, at the mill."""

    entry: int
    kind: str
    happened_at: dt.datetime
    recorded_at: dt.datetime
    badge: str

    @property
    def stage(self) -> str:
        """The stage of the act."""
        return self.kind.split(".", 1)[0]

    @property
    def late_days(self) -> int:
        """How many days later."""
        return (local_day(self.recorded_at) - local_day(self.happened_at)).days


def local_day(at: dt.datetime) -> dt.date:
    """Return the day at the mill."""
    return timezone.localtime(at).date()


def acts_of(span: Span) -> list[tuple[int, str, dt.datetime, dt.datetime]]:
    """Return number, kind and both times of every act that happened in a period; registers are no events."""
    rows = JournalEntry.objects.filter(happened_at__gte=span.first_at, happened_at__lt=span.after_at)
    rows = rows.exclude(kind__startswith="register.").order_by("-seq")
    return list(rows.values_list("seq", "kind", "happened_at", "recorded_at"))


def late_entries(span: Span) -> list[LateEntry]:
    """Return the late entries of a period, the newest first."""
    rows = JournalEntry.objects.filter(recorded_at__gt=F("happened_at"), happened_at__gte=span.first_at, happened_at__lt=span.after_at)
    rows = rows.exclude(kind__startswith="register.").order_by("-seq").values_list("seq", "kind", "happened_at", "recorded_at")
    found = [row for row in rows if local_day(row[3]) > local_day(row[2])]
    badges = badges_of([seq for seq, *_rest in found])
    return [LateEntry(*row, badges.get(row[0], "")) for row in found]
