"""An inspector picks a plot: what was put on it with its intervals, when it was plucked, and every pack that its leaf is in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.balance import Look
from lots.desk.saying import Said, capital, count_word, paragraph, short_day_text
from lots.desk.ways import way
from lots.dossier.recall_report import RecallReport
from lots.models import FieldPlot, HarvestFlush
from lots.quality.intervals import Application
from lots.read.recall_starts import at_plot
from lots.read.recalling import recall
from lots.read.registers import newest
from lots.read.treating import applications


@dataclass(frozen=True, slots=True)
class Spray:
    """A treatment with the first day on which plucking was lawful after it."""

    product: str
    substance: str
    applied_on: dt.date
    interval_days: int
    lawful_on: dt.date


@require_safe
def plot_packs(request: HttpRequest) -> HttpResponse:
    """Show the plots to pick from, and of the one that was picked everything down to its packs and consignees."""
    plots = list(newest(FieldPlot))
    picked = next((plot for plot in plots if plot.code == request.GET.get("plot")), None)
    looks = [Look(f"{p.code} {p.name}", way("office-plot", plot=p.code), p is picked) for p in plots]
    if picked is None:
        return render(request, "desk/office_plot.html", {"looks": looks, "lead": _("Which plot? Pick one.")})
    start = at_plot(picked.code)
    report = RecallReport(recall(start)) if start.steps else None
    harvests = HarvestFlush.objects.filter(step__in=start.steps).select_related("step", "cultivar").order_by("plucked_on", "pk")
    return render(request, "desk/office_plot.html", {
        "looks": looks, "picked": picked, "lead": lead(picked, start.steps, report), "report": report,
        "sprays": [spray(one) for one in applications([picked.code])[picked.code]],
        "harvests": [harvest_entry(row) for row in harvests.prefetch_related("step__opened")],
    })


def lead(plot: FieldPlot, steps: Sequence[int], report: RecallReport | None) -> str:
    """Return the plot in a sentence."""
    count = len(steps)
    leaf = ngettext("%(count)s delivery of leaf came from %(plot)s.", "%(count)s deliveries of leaf came from %(plot)s.", count)
    packs = _("Its leaf is in %(series)d series of packs.") % {"series": len(report.series)} if report else ""
    return paragraph([capital(leaf % {"count": count_word(count), "plot": plot.name}), packs])


def spray(one: Application) -> Spray:
    """Return a treatment with its interval worked out."""
    lawful_on = one.applied_on + dt.timedelta(days=one.interval_days)
    return Spray(one.product, one.substance, one.applied_on, one.interval_days, lawful_on)


def harvest_entry(row: HarvestFlush) -> Said:
    """Return a plucking with its lot."""
    lot = row.step.opened.all()[0]
    return Said(
        what=_("%(lot)s.") % {"lot": lot}, side=short_day_text(row.plucked_on), small=str(row.plucked_on.year),
        href=way("lot", lot.code), do=_("Open its lot book"),
        sentence=_("%(cultivar)s, flush %(number)d.") % {"cultivar": row.cultivar.name, "number": row.flush_no},
    )
