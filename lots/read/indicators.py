"""Five figures that say whether the system works: how fast a trace is, how much is reconciled, late, unexplained, overdue."""

from __future__ import annotations

import datetime as dt
import time
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from lots.balance.period import Column
from lots.models import Hold, PackedUnit
from lots.read.authorising import expiring
from lots.read.holding import standing
from lots.read.late import acts_of, local_day
from lots.read.period import PeriodBook, Span
from lots.read.recall_team import duties, trial_due_on
from lots.read.tracing import trace
from lots.read.years import nodes_of_year
from lots.trade.weighing import Verdict

HOLD_DAYS_MOST = 30


@dataclass(frozen=True, slots=True)
class Overdue:
    """What is over its time: holds that stand longer than thirty days, authorisations that ran out, the trial of the recall."""

    hold_count: int
    authorisation_count: int
    has_team: bool
    trial_due_on: dt.date | None
    is_trial_overdue: bool

    @property
    def count(self) -> int:
        """How many things."""
        return self.hold_count + self.authorisation_count + int(self.is_trial_overdue)


@dataclass(frozen=True, slots=True)
class Indicators:
    """The figures of a year. ``trace_s`` is measured on the newest packs (None: nothing was packed); ``reconciled_frac`` is the
    share of dry input whose balance adds up; unexplained is signed, mg dry."""

    trace_s: float | None
    trace_lot: str
    reconciled_frac: float | None
    judged_count: int
    entry_count: int
    late_count: int
    unexplained_mg: float
    received_mg: float
    overdue: Overdue


def indicators(span: Span, now: dt.datetime) -> Indicators:
    """Return the figures of a year."""
    seconds, lot = timed_trace()
    judged = [n.balance for n in nodes_of_year(span.first_on.year) if n.balance.z is not None]
    whole_mg = sum(b.input_mg for b in judged)
    good_mg = sum(b.input_mg for b in judged if b.verdict is Verdict.ADDS_UP)
    acts = acts_of(span)
    sheets = PeriodBook().sheets(span)
    return Indicators(
        seconds, lot, good_mg / whole_mg if whole_mg else None, len(judged), len(acts),
        sum(1 for _seq, _kind, happened, recorded in acts if local_day(recorded) > local_day(happened)),
        sum(s.dry_mg(Column.UNEXPLAINED) for s in sheets), sum(s.dry_mg(Column.RECEIVED) + s.dry_mg(Column.OPENING) for s in sheets),
        overdue(now),
    )


def timed_trace() -> tuple[float | None, str]:
    """Trace the newest packs both ways, and return how many seconds that took, with the name of the lot."""
    unit = PackedUnit.objects.select_related("lot").filter(retained=False).order_by("-pk").first()
    if unit is None:
        return None, ""
    began = time.perf_counter()
    trace(unit.lot)
    return time.perf_counter() - began, str(unit.lot)


def overdue(now: dt.datetime) -> Overdue:
    """Return what is over its time."""
    today = timezone.localtime(now).date()
    long_ago = Q(happened_at__lt=now - dt.timedelta(days=HOLD_DAYS_MOST))
    team = duties()
    due = trial_due_on([duty.tested_on for duty in team])
    out = [grant for grant in expiring(today) if grant.until_on is not None and grant.until_on < today]
    return Overdue(
        Hold.objects.filter(standing()).filter(long_ago).count(), len(out), bool(team), due,
        bool(team) and (due is None or due < today),
    )
