"""Who may enter what, who did without being allowed to, and whose authorisation runs out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models.functions import Coalesce
from django.utils import timezone

from lots.models import Authorisation, Step
from lots.quality.authorising import Grant, permitted, version_of_day
from lots.read.events import badges_of
from lots.read.period import Span

SOON_DAYS = 60


@dataclass(frozen=True, slots=True)
class Unauthorised:
    """An entry at a stage by a badge that was not authorised for it on that day."""

    entry: int
    step: int
    stage: str
    happened_at: dt.datetime
    badge: str


def grants() -> list[Grant]:
    """Return every version of every authorisation: one statement."""
    rows = Authorisation.objects.select_related("staff", "trained_by").order_by("code", "version")
    return [
        Grant(
            r.code, r.version, r.staff.code, frozenset(r.stages.split()), timezone.localtime(r.valid_from_at).date(), r.trained_on,
            r.trained_by.code, r.valid_until_on, r.retired,
        )
        for r in rows
    ]


def unauthorised(span: Span) -> list[Unauthorised]:
    """Return the entries of a period by somebody who was not authorised; none while the house has entered no authorisation."""
    known = grants()
    if not known:
        return []
    rows = Step.objects.annotate(about=Coalesce("corrects__stage", "stage"))
    rows = rows.filter(happened_at__gte=span.first_at, happened_at__lt=span.after_at).order_by("-pk")
    steps = list(rows.values_list("pk", "entry_id", "about", "happened_at"))
    badges = badges_of({entry for _step, entry, _about, _at in steps})
    return [
        Unauthorised(entry, step, about, at, badges[entry]) for step, entry, about, at in steps
        if not permitted(known, badges[entry], about, timezone.localtime(at).date())
    ]


def lacking(badge: str, stages: frozenset[str], day: dt.date) -> list[str]:
    """Return for which of some stages a badge was not authorised on a day; none while the house has entered no authorisation."""
    known = grants() if stages else []
    return sorted(stage for stage in stages if not permitted(known, badge, stage, day)) if known else []


def expiring(today: dt.date, known: list[Grant] | None = None) -> list[Grant]:
    """Return the authorisations that have run out or run out soon, the earliest first."""
    by_code: dict[str, list[Grant]] = {}
    for grant in grants() if known is None else known:
        by_code.setdefault(grant.code, []).append(grant)
    standing = [version_of_day(versions, today) for versions in by_code.values()]
    limit = today + dt.timedelta(days=SOON_DAYS)
    found = [grant for grant in standing if not grant.retired and grant.until_on is not None and grant.until_on <= limit]
    return sorted(found, key=lambda grant: (grant.until_on or today, grant.code))
