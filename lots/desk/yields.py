"""Fresh leaf per plot, grower and year, and organic tea against its certified leaf."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.balance.certified import Certified
from lots.desk.balance import Look, chosen_year
from lots.desk.period import year_span
from lots.desk.saying import Said, count_word, paragraph, sum_text
from lots.desk.tables.yields import GrowerTable, PlotTable
from lots.desk.ways import way
from lots.quality.field_yields import HIGH_KG_PER_10_A, LOW_KG_PER_10_A
from lots.read.certified import organic_check
from lots.read.field_yields import YieldRow, grower_yields, plot_yields
from lots.read.period import PeriodBook
from lots.read.years import years
from lots.trade.weighing import Verdict


@require_safe
def yields(request: HttpRequest) -> HttpResponse:
    """Show the yields of a year beside those of the year before."""
    known = years()
    year = chosen_year(request, known)
    if not year:
        return render(request, "desk/office_yields.html", {"lead": _("Nothing has been weighed yet."), "looks": []})
    rows = plot_yields(year)
    plots, growers = PlotTable(rows), GrowerTable(grower_yields(rows))
    plots.caption, growers.caption = _("By plot"), _("By grower")
    organic = organic_check(PeriodBook(), year_span(year))
    return render(request, "desk/office_yields.html", {
        "lead": lead(year, rows), "plots": plots, "growers": growers, "year": year,
        "organic": [organic_entry(organic, year)] if organic else [],
        "looks": [Look(str(one), way("office-yields", year=str(one)), one == year) for one in known] if len(known) > 1 else [],
        "low": LOW_KG_PER_10_A, "high": HIGH_KG_PER_10_A,
    })


def lead(year: int, rows: Sequence[YieldRow]) -> str:
    """Return how much leaf came in the year, and how many plots are to be looked at."""
    odd = sum(1 for row in rows if row.doubts and row.doubts.any)
    whole = _("In %(year)d the plots gave %(mass)s of fresh leaf.") % {"year": year, "mass": sum_text(sum(r.mass_mg for r in rows), 0)}
    if not odd:
        return paragraph([whole, _("Every yield is plausible.")])
    return paragraph([whole, ngettext("%(count)s yield is to be looked at.", "%(count)s yields are to be looked at.", odd)
                      % {"count": count_word(odd)}])


def organic_entry(found: Certified, year: int) -> Said:
    """Return organic tea against its certified leaf in words, with the verdict."""
    figures = {
        "certified": sum_text(found.certified_mg), "could": sum_text(found.could_be_mg), "claimed": sum_text(found.claimed_mg),
        "over": sum_text(abs(found.over_mg)), "tolerance": sum_text(found.tolerance_mg),
    }
    told = _("%(certified)s of certified leaf can have given %(could)s; %(claimed)s stand in the book as organic.") % figures
    apart = _("That is %(over)s too much, more than chance allows (%(tolerance)s).") if found.is_over else _(
        "That is within what chance allows (%(tolerance)s).")
    return Said(
        what=_("Organic tea of %(year)d.") % {"year": year}, sentence=paragraph([told, apart % figures]),
        verdict=Verdict.STOP if found.is_over else Verdict.ADDS_UP, href=way("office-balance"), do=_("Look at the balance"),
    )
