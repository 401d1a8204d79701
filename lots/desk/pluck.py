"""May we pluck? Every plot with its earliest lawful plucking day, looked at before the pickers go out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.field_words import notice_words
from lots.desk.saying import Said
from lots.desk.words import joined, language
from lots.read.treating import MayPluck, may_pluck
from lots.trade.units import date_text
from lots.trade.weighing import Verdict

DAYS_OFFERED = 4


@dataclass(frozen=True, slots=True)
class Look:
    """One day that the list can be looked at for."""

    name: str
    href: str
    current: bool


def pluck(request: HttpRequest) -> HttpResponse:
    """Show from which day each plot may be plucked, for a day: today, or one that is named."""
    today = timezone.localdate()
    on = named_day(request.GET.get("day", ""), today)
    lines = may_pluck(on)
    waiting = sum(1 for line in lines if not line.is_open)
    context = {"on": on, "looks": looks(today, on), "plots": [entry(line, on) for line in lines], "lead": lead(len(lines), waiting, on)}
    return render(request, "desk/field_pluck.html", context)


def named_day(typed: str, today: dt.date) -> dt.date:
    """Return the day that a link names, else today."""
    try:
        return dt.date.fromisoformat(typed)
    except ValueError:
        return today


def looks(today: dt.date, on: dt.date) -> list[Look]:
    """Return today and the days that follow."""
    days = [today + dt.timedelta(days=n) for n in range(DAYS_OFFERED)]
    return [Look(date_text(day, language()), f"?day={day.isoformat()}", day == on) for day in days]


def lead(count: int, waiting: int, on: dt.date) -> str:
    """Return in one sentence how many plots must wait."""
    day = {"day": date_text(on, language()), "count": waiting}
    if not count:
        return _("No plot is in the register.")
    if not waiting:
        return _("On %(day)s every plot may be plucked.") % day
    return ngettext("On %(day)s %(count)d plot must wait.", "On %(day)s %(count)d plots must wait.", waiting) % day


def entry(line: MayPluck, on: dt.date) -> Said:
    """Return one plot: verdict word, plot, which treatment decides, days left, and what a neighbour sprays."""
    told = joined((decided(line), *(notice_words(one) for one in line.notices)))
    what = _("%(code)s, %(name)s.") % {"code": line.code, "name": line.name}
    if line.is_open:
        return Said(verdict=Verdict.ADDS_UP, word=_("open"), what=what, sentence=told)
    left = ngettext("%(count)d day left", "%(count)d days left", line.left_days) % {"count": line.left_days}
    word = _("wait until %(day)s") % {"day": date_text(line.from_on or on, language())}
    return Said(verdict=Verdict.STOP, word=word, what=what, sentence=told, side=left)


def decided(line: MayPluck) -> str:
    """Return which treatment decides, and since when or until when."""
    if line.from_on is None or line.applied_on is None:
        return _("No treatment keeps it from being plucked.")
    words = {
        "product": line.decided_by, "applied": date_text(line.applied_on, language()), "from": date_text(line.from_on, language()),
        "days": ngettext("%(count)d day", "%(count)d days", line.interval_days) % {"count": line.interval_days},
    }
    return _("%(product)s of %(applied)s decides: %(days)s, so from %(from)s.") % words
