"""One packing run on one page: its series, what was given away, and what was done about its packs since."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import override
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.checkweighing import coarse_words, figures, plan_words, reasons, verdict_words
from lots.desk.forms.packing import packs_of
from lots.desk.labelling import count_sentences
from lots.desk.saying import Said, capital, listed, short_day_text
from lots.desk.words import joined, language
from lots.read.check_weighings import Checked, check_weighings
from lots.read.label_counts import LabelsOfSeries, labels_of
from lots.read.packaging import PackagingOfSeries, packaging_of
from lots.read.packing_runs import RunPage, SeriesOfRun, packing_run
from lots.trade.units import date_text, g_text, number_text, percent_text, signed_g_text
from lots.trade.weighing import Verdict


@require_safe
def run(request: HttpRequest, step: int) -> HttpResponse:
    """Show one packing run."""
    page = packing_run(step)
    if page is None:
        raise Http404(_("There is no packing run %(step)s in the book.") % {"step": step})
    with override("en" if language() == "ja" else "ja"):
        other_title = title_of(page)
    checks = check_weighings(one.unit for one in page.series)
    return render(request, "desk/packing_run.html", {
        "page": page, "title": title_of(page), "other_title": other_title, "lead": lead(page),
        "series": [series_row(request, one) for one in page.series], "giveaway": giveaway_words(page),
        "checks": [check_entry(check) for check in checks],
        "labels": [label_entry(told) for told in labels_of(one.unit for one in page.series if not one.unit.retained)],
        "packaging": packaging_entries(request, page),
    })


def title_of(page: RunPage) -> str:
    """Return the run by the name of its packs."""
    return _("Packing run %(lot)s") % {"lot": page.series[0].lot.name}


def lead(page: RunPage) -> str:
    """Return when it was packed, and from what."""
    said = _("Packed %(day)s from %(lots)s.") % {"day": date_text(page.day, language()), "lots": listed([lot.name for lot in page.fed])}
    return joined([said, *closed_words(page), _("Taken back: it did not happen.") if page.taken_back else ""])


def closed_words(page: RunPage) -> list[str]:
    """Return what the packs were closed in, as far as it was read."""
    gases = {"air": _("air"), "nitrogen": _("nitrogen"), "oxygen absorber": _("an oxygen absorber")}
    parts = [
        _("room at %(rh)s relative humidity") % {"rh": percent_text(page.room_rh_frac, 0)} if page.room_rh_frac is not None else "",
        _("packs closed with %(gas)s") % {"gas": gases[page.gas]} if page.gas else "",
        _("oxygen left %(share)s") % {"share": percent_text(page.oxygen_frac, 1)} if page.oxygen_frac is not None else "",
    ]
    told = _(", ").join(part for part in parts if part)
    return [capital(_("%(what)s.") % {"what": told})] if told else []


def giveaway_words(page: RunPage) -> str:
    """Return what the run gives away, as its trays were weighed."""
    packs = sum(one.pack_count for one in page.series if not one.unit.retained)
    each = page.giveaway_mg / packs if packs else 0.0
    return _("As weighed in trays, the packs for sale hold %(whole)s against their labels, %(each)s a pack.") % {
        "whole": signed_g_text(page.giveaway_mg, 0, language()), "each": signed_g_text(each, 2, language()),
    }


def series_row(request: HttpRequest, one: SeriesOfRun) -> dict[str, Any]:
    """Return one series as a row of the table, with what can be done about it."""
    kept = _("kept samples") if one.unit.retained else packs_of(one.unit.product)
    return {
        "lot": one.lot, "what": kept, "count": number_text(one.pack_count, 0), "here": number_text(one.here_count, 0),
        "mean": g_text(one.mass_mg / one.pack_count, 2, language()), "giveaway": signed_g_text(one.giveaway_mg, 0, language()),
        "until": date_text(one.unit.best_before_on, language()), "rule": one.rule.words(language()),
        "acts": [
            {"do": words, "href": f"{reverse(name)}?lot={one.lot.code}"} for name, words in acts_for(one) if may(request.user, name)
        ],
    }


def acts_for(one: SeriesOfRun) -> list[tuple[str, str]]:
    """Return the screens on which something is written down about a series."""
    if one.unit.retained:
        return [("packing-samples-place", _("Write their place"))]
    return [("packing-weigh", _("Check-weigh")), ("packing-labels", _("Count its labels")), ("packing-reprint", _("Print again"))]


def check_entry(check: Checked) -> Said:
    """Return one check-weighing as an entry."""
    result = check.result
    verdict = {True: Verdict.ADDS_UP, False: Verdict.STOP, None: Verdict.LOOK}[result.accepted]
    coarse = coarse_words(result.nominal_mg) if check.too_coarse else ""
    lost = _("Over %(packs)s packs that is %(lost)s.") % {
        "packs": number_text(check.pack_count, 0), "lost": signed_g_text(check.lost_mg, 0, language()),
    }
    return Said(
        what=_("%(packs)s.") % {"packs": packs_of(check.unit.product)}, side=short_day_text(check.at),
        sentence=joined([_("%(plan)s:") % {"plan": plan_words(result.plan)}, figures(result), *reasons(result), lost, coarse]),
        verdict=verdict, word=verdict_words(result), href=reverse("entry", args=[check.entry]), do=_("Open its entry"),
    )


def label_entry(told: LabelsOfSeries) -> Said:
    """Return the labels of one series as an entry: counts, marks, and what its words promise too much."""
    words = [finding.text(language()) for finding in told.findings]
    row = told.row
    verdict = Verdict.CANNOT if row is None else Verdict.ADDS_UP if told.closes else Verdict.LOOK
    said = {Verdict.CANNOT: _("not counted"), Verdict.ADDS_UP: _("closes"), Verdict.LOOK: _("look")}[verdict]
    label = _("%(packs)s, label %(label)s.") % {"packs": packs_of(told.unit.product), "label": row.label} if row else ""
    return Said(
        what=label or _("%(packs)s.") % {"packs": packs_of(told.unit.product)}, sentence=joined([*count_sentences(told), *words]),
        side=short_day_text(row.step.happened_at) if row else "", verdict=verdict, word=said,
        href=reverse("entry", args=[row.step.entry_id]) if row else "", do=_("Open its entry") if row else "",
    )


def packaging_entries(request: HttpRequest, page: RunPage) -> list[Said]:
    """Return the packaging lots that the series of a run stand in, each with the way to everything else in it."""
    found = packaging_of(one.unit for one in page.series)
    back = may(request.user, "recall")
    return [packaging_entry(one, taken, back=back) for one in page.series for taken in found.get(one.unit.pk, ())]


def packaging_entry(one: SeriesOfRun, taken: PackagingOfSeries, *, back: bool) -> Said:
    """Return what one series took of one packaging lot."""
    said = _("%(used)s are packs now, %(spoiled)s were spoiled.") % {
        "used": number_text(taken.used_count, 0), "spoiled": number_text(taken.spoiled_count, 0),
    }
    return Said(
        what=_("%(packs)s, packaging %(code)s.") % {"packs": packs_of(one.unit.product), "code": taken.code}, sentence=said,
        href=f"{reverse('recall')}?{urlencode({'packaging': taken.code})}" if back else "", do=_("What else stands in it") if back else "",
    )
