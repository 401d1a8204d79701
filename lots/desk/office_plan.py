"""The traceability plan as page and paper, and the indicators of the year."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.balance import Look, chosen_year
from lots.desk.papers_out import handed_out, not_made, paper_language
from lots.desk.period import asked_of, year_span
from lots.desk.saying import Said, capital, count_word, day_text, paragraph, sum_text
from lots.desk.ways import way
from lots.desk.words import decimals, language
from lots.dossier.faults import PaperFault
from lots.dossier.plan_paper import PlanPaper
from lots.read.indicators import HOLD_DAYS_MOST, Indicators, indicators
from lots.read.plan import plan as read_plan
from lots.read.years import years
from lots.trade.units import percent_text


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Show the plan."""
    return render(request, "desk/office_plan.html", {"plan": PlanPaper(read_plan(timezone.now())), "file": way("office-plan-file")})


@require_safe
def plan_file(request: HttpRequest) -> HttpResponse:
    """Return the plan as a paper."""
    try:
        with translation.override(paper_language(request.GET)):
            return handed_out(PlanPaper(read_plan(timezone.now())).pdf(), f"traceability-plan-{language()}.pdf")
    except PaperFault as fault:
        return not_made(request, fault)


@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    """Show the indicators of a year."""
    known = years()
    year = chosen_year(request, known) or timezone.localdate().year
    now = timezone.now()
    found = indicators(year_span(year), now)
    return render(request, "desk/office_indicators.html", {
        "lead": _("Whether the system works, in five figures, %(year)d.") % {"year": year}, "entries": entries(found, year),
        "looks": [Look(str(one), way("office-indicators", year=str(one)), one == year) for one in known] if len(known) > 1 else [],
    })


def entries(found: Indicators, year: int) -> list[Said]:
    """Return the five figures as entries."""
    return [traced(found), reconciled(found), late(found, year), unexplained(found, year), overdue(found)]


def traced(found: Indicators) -> Said:
    """Return how long a trace takes, measured now."""
    if found.trace_s is None:
        return Said(what=_("Trace."), sentence=_("Nothing was packed yet, so nothing was traced."))
    return Said(
        what=_("Trace."), side=_("%(seconds)s s") % {"seconds": decimals(found.trace_s, 2)}, href=way("trace", code=found.trace_lot),
        sentence=_("%(lot)s traced both ways just now. Four hours are the usual limit.") % {"lot": found.trace_lot}, do=_("See the trace"),
    )


def reconciled(found: Indicators) -> Said:
    """Return how much of the leaf adds up."""
    if found.reconciled_frac is None:
        return Said(what=_("Reconciled."), sentence=_("No balance could be judged yet."))
    count = found.judged_count
    sentence = ngettext("Of the dry leaf that went through %(count)d judged balance this much adds up.",
                        "Of the dry leaf that went through %(count)d judged balances this much adds up.", count)
    return Said(
        what=_("Reconciled."), side=percent_text(found.reconciled_frac, 1, language()), sentence=sentence % {"count": count},
        href=way("balance"), do=_("Does it add up?"),
    )


def late(found: Indicators, year: int) -> Said:
    """Return how many entries were late."""
    share = percent_text(found.late_count / found.entry_count, 1, language()) if found.entry_count else ""
    return Said(
        what=_("Late entries."), side=share, href=way("office-late", **asked_of(year_span(year))), do=_("See them"),
        sentence=_("%(late)d of %(whole)d acts were written on a later day than they happened.") % {
            "late": found.late_count, "whole": found.entry_count},
    )


def unexplained(found: Indicators, year: int) -> Said:
    """Return how much is not explained, of what stood here and came in."""
    share = percent_text(abs(found.unexplained_mg) / found.received_mg, 2, language()) if found.received_mg > 0 else ""
    return Said(
        what=_("Not explained."), side=share, href=way("office-balance", **asked_of(year_span(year))), do=_("Look at the balance"),
        sentence=_("%(mass)s of dry leaf of all that stood here and came in, sign counted.") % {"mass": sum_text(found.unexplained_mg)},
    )


def overdue(found: Indicators) -> Said:
    """Return what is over its time."""
    it = found.overdue
    if it.is_trial_overdue and it.trial_due_on:
        trial = _("The recall plan was to be tried by %(day)s.") % {"day": day_text(it.trial_due_on)}
    elif it.is_trial_overdue:
        trial = _("A task of the recall team was never tried.")
    else:
        trial = "" if it.has_team else _("No recall team is entered yet.")
    holds = ngettext("%(count)s hold stands longer than %(days)d days.", "%(count)s holds stand longer than %(days)d days.", it.hold_count)
    out = ngettext("%(count)s authorisation has run out.", "%(count)s authorisations have run out.", it.authorisation_count)
    return Said(what=_("Overdue."), side=str(it.count), sentence=paragraph([
        capital(holds % {"count": count_word(it.hold_count), "days": HOLD_DAYS_MOST}) if it.hold_count else "",
        capital(out % {"count": count_word(it.authorisation_count)}) if it.authorisation_count else "", trial,
        "" if it.count or not it.has_team else _("Nothing is over its time."),
    ]), href=way("office-plan"), do=_("Open the plan"))
