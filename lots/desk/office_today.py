"""The office on the first page: organic tea beyond its leaf, a recall plan that nobody tried, authorisations that run out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.period import year_span
from lots.desk.saying import Said, listed, short_day_text
from lots.desk.ways import way
from lots.desk.yields import organic_entry
from lots.quality.authorising import Grant
from lots.read.office_today import OfficeToday, office_today


@dataclass(frozen=True, slots=True)
class OfficeEntries:
    """Entries of the first page: what does not add up, and what the office has to do."""

    organic: tuple[Said, ...] = ()
    notes: tuple[Said, ...] = ()


def office_entries(newest: dt.datetime | None, now: dt.datetime) -> OfficeEntries:
    """Return the office's entries; none for a book without leaf."""
    if newest is None:
        return OfficeEntries()
    year = timezone.localtime(newest).year
    told = office_today(year_span(year), now)
    if told is None:
        return OfficeEntries()
    organic = (organic_entry(told.organic, year),) if told.organic and told.organic.is_over else ()
    return OfficeEntries(organic, (*trial_entries(told), *running_out(told.expiring, timezone.localtime(now).date())))


def trial_entries(told: OfficeToday) -> list[Said]:
    """Return that the recall plan is to be tried again."""
    if not told.is_trial_overdue:
        return []
    sentence = _("A task of the recall team was never tried.") if told.trial_due_on is None else _(
        "More than twelve months have passed since it was last tried.")
    return [Said(
        what=_("Recall plan."), sentence=sentence, side=short_day_text(told.trial_due_on) if told.trial_due_on else "",
        href=way("office-plan"), do=_("Open the plan"),
    )]


def running_out(found: tuple[Grant, ...], today: dt.date) -> list[Said]:
    """Return the authorisations that have run out or run out soon, as one entry."""
    if not found:
        return []
    out = [grant for grant in found if grant.until_on and grant.until_on < today]
    badges = listed(list(dict.fromkeys(grant.badge for grant in found)))
    sentence = _("Badges %(badges)s: what they were trained for has run out or will soon.") if out else _(
        "Badges %(badges)s: what they were trained for runs out soon.")
    return [Said(
        what=_("Authorisations."), sentence=sentence % {"badges": badges},
        side=short_day_text(found[0].until_on) if found[0].until_on else "", href=way("office-authorisations"), do=_("See whose"),
    )]
