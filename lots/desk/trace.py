"""Where from, where to: scan any label, and see the fields behind it, the packs after it, and what it may have touched."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.lot_book import Act, choice, unknown
from lots.desk.saying import Said, short_day_text
from lots.desk.trace_paths import Paths, columns
from lots.desk.trace_sheet import DeskEyes, drawn, sheet_of
from lots.desk.trace_words import gone_entries, lead, tier_entries
from lots.desk.ways import way
from lots.desk.words import joined, material_word, printed
from lots.dossier.claims import Claims
from lots.models import Hold, Lot
from lots.read.finding import Found, Kind, find
from lots.read.holding import StandingHold, holds_on_lot
from lots.read.names import opened
from lots.read.trace_records import Trace
from lots.read.tracing import trace_lots
from lots.trade.weighing import Verdict

#: The ids of the drawing's twin in words.
TWIN = "lineage-words"


@require_safe
def trace(request: HttpRequest) -> HttpResponse:
    """Trace the lot or pack that was scanned, both ways."""
    code = request.GET.get("code", "").strip()
    if not code:
        return render(request, "desk/trace.html", {"code": "", "first": True})
    began = time.perf_counter()
    found = find(code)
    if not found.sure:
        return render(request, "desk/trace.html", {
            "code": code, "unknown": unknown(found.kind, code), "choices": [choice_here(lot) for lot in found.lots],
        }, status=200 if found.lots else 404)
    found = with_bulk(found)
    traced = trace_lots(found.lots)
    return render(request, "desk/trace.html", {"code": code, **answer(request, found, traced, began)})


def with_bulk(found: Found) -> Found:
    """Return what was found, with the bulk that its packing run left: it carries no reference of its own."""
    if len(found.lots) < 2:
        return found
    bulk = Lot.objects.select_related("step").filter(step=found.lots[0].step_id, material="bulk_powder")
    return replace(found, lots=(*found.lots, *bulk.exclude(pk__in=[lot.pk for lot in found.lots])))


def choice_here(lot: Lot) -> Said:
    """Return one of several lots to choose from; choosing traces it."""
    one = choice(lot)
    return Said(what=one.what, sentence=one.sentence, side=one.side, href=way("trace", code=lot.code), do=_("Trace it"))


def answer(request: HttpRequest, found: Found, traced: Trace, began: float) -> dict[str, Any]:
    """Return everything that the page shows of a trace."""
    sealed = [s.name for s in traced.consignments] + [s.contact for s in traced.consignments]
    names = opened([*sealed, *(o.grower for o in traced.origins)])
    eyes = DeskEyes(names)
    svg = drawn(sheet_of(traced, eyes), TWIN, request.GET.dict())
    paths = Paths(traced)
    holds = holds_on_any(found.lots)
    context = {
        "read": read_words(found), "stopped": [stop_entry(hold) for hold in holds], "drawing": SafeString(svg),
        "tiers": tier_entries(traced, names),
        "gone": gone_entries(traced, names), "claims": claim_entries(found.lots, traced, eyes), "back": paths.back(),
        "forth": paths.forth(), "paths": paths.rows(), "columns": columns(), "acts": acts(request, found, traced, holds),
    }
    return {**context, "lead": lead(traced, name_of(found), time.perf_counter() - began)}


def name_of(found: Found) -> str:
    """Return what people call what was scanned."""
    return str(found.lots[0])


def read_words(found: Found) -> str:
    """Return what was read from the label."""
    name = name_of(found)
    if found.kind is Kind.PACK:
        said = _("Pack %(number)s of run %(run)s: it is of lot %(lot)s.") % {
            "number": found.pack_no, "run": found.run_no, "lot": name}
        inside = [_("It lies in case %(case)s.") % {"case": printed(case)} for case in found.cases]
        return joined([said, *inside])
    if found.kind is Kind.CASE:
        return _("Case %(case)s: it holds packs of lot %(lot)s.") % {"case": printed(found.cases[0]), "lot": name}
    if len(found.lots) > 1:
        return _("%(name)s: %(count)d lots of one step.") % {"name": name, "count": len(found.lots)}
    return _("%(name)s, %(material)s.") % {"name": name, "material": material_word(found.lots[0].material)}


def holds_on_any(lots: Sequence[Lot]) -> list[StandingHold]:
    """Return the holds that stand on any of the lots, each once, in order of record."""
    found = {hold.id: hold for lot in lots for hold in holds_on_lot(lot)}
    return [found[key] for key in sorted(found)]


def stop_entry(hold: StandingHold) -> Said:
    """Return a hold or recall that stands, with the way to what is stopped in the house."""
    word = _("fetched back") if hold.kind == Hold.Kind.RECALL else _("stopped")
    return Said(
        what=_("%(name)s.") % {"name": hold.lot}, sentence=_("%(reason)s.") % {"reason": hold.reason.rstrip(".")}, verdict=Verdict.STOP,
        word=word, side=short_day_text(hold.since_at), href=way("holding"), do=_("Hold and fetch back"),
    )


def claim_entries(lots: Sequence[Lot], traced: Trace, eyes: DeskEyes) -> list[Said]:
    """Return what may be said of it on a label, each with its ground."""
    rows = Claims(traced, sum(lot.mass_mg for lot in lots), eyes).rows()
    return [Said(verdict=r.verdict, word=r.answer, what=_("%(claim)s.") % {"claim": r.words}, sentence=r.ground) for r in rows]


def acts(request: HttpRequest, found: Found, traced: Trace, holds: Sequence[StandingHold]) -> list[Act]:
    """Return what can be done: fetch back first where packs have left and nobody did yet, else hold."""
    fetched = any(hold.kind == Hold.Kind.RECALL for hold in holds)
    code, name = found.lots[0].code, name_of(found)
    fetch = ("holding-recall", Act(_("Fetch %(lot)s back") % {"lot": name}, way("holding-recall", lot=code)))
    hold = ("holding-hold", Act(_("Hold all of %(lot)s") % {"lot": name}, way("holding-hold", lot=code)))
    offered = [
        *([fetch] if traced.consignments and not fetched else []), *([] if holds else [hold]),
        ("recall", Act(_("Recall report"), way("recall", lot=code))),
        ("dossier", Act(_("Print its dossier"), way("dossier", lot=code))),
        ("lot", Act(_("Open its lot book"), way("lot", code))),
    ]
    return [act for page, act in offered if act.href and may(request.user, page)]
