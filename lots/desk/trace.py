"""Where from, where to: one lot or pack back to the fields and forward to the packs, drawn and in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.lot_book import Act, choice, unknown
from lots.desk.saying import Said, certified, cultivar_word
from lots.desk.stop_words import stop_way
from lots.desk.trace_words import in_words, lead
from lots.desk.ways import way
from lots.desk.words import language
from lots.dossier.eyes import Eyes, Reader
from lots.dossier.lineage import lineage_sheet
from lots.drawing.grouping import Spot, grouped
from lots.drawing.lineage import lineage_svg
from lots.drawing.twin import LineageRow, lineage_rows
from lots.drawing.words import ENGLISH, JAPANESE, Words
from lots.models import Lot
from lots.read.finding import Found, Kind, find
from lots.read.origins import OriginShare
from lots.read.stops import Stop
from lots.read.trace_records import Trace
from lots.read.traced import Traced, traced
from lots.trade.language import is_japanese
from lots.trade.lineage import LineageSheet, Tier

#: More boxes than this are put together on the drawing; more paths than that in its table.
BOXES_MAX, PATHS_MAX = 30, 150


@dataclass(frozen=True, slots=True)
class ShareRow:
    """One harvest of the table of shares, as printed."""

    origin: OriginShare
    cultivar: str
    state: str
    grower: str
    href: str


@require_safe
def trace(request: HttpRequest) -> HttpResponse:
    """Ask for a label, and show where that lot or pack comes from and where it went."""
    typed = next((request.GET[name].strip() for name in ("q", "code", "lot") if request.GET.get(name, "").strip()), "")
    if not typed:
        return render(request, "desk/trace.html", {"typed": typed, "first": True})
    began_s = perf_counter()
    found = find(typed)
    if not found.sure:
        return render(request, "desk/trace.html", {
            "typed": typed, "unknown": unknown(found.kind, typed), "choices": [to_trace(lot) for lot in found.lots],
        }, status=200 if found.lots else 404)
    facts = traced(found.lots)
    took_s = perf_counter() - began_s
    return render(request, "desk/trace.html", {
        "typed": typed, "read": pack_read(found), "lead": lead(facts, took_s), **shown(request, facts),
    })


def to_trace(lot: Lot) -> Said:
    """Return one of several lots to choose from, with the way to its trace."""
    return replace(choice(lot), href=way("trace", q=lot.code), do=_("Where from, where to"))


def pack_read(found: Found) -> str:
    """Return which pack a code is, under the field where it was scanned."""
    if found.kind is not Kind.PACK or found.pack_no is None:
        return ""
    return _("Pack %(number)s of lot %(lot)s.") % {"number": found.pack_no, "lot": found.lots[0].maker_ref or found.lots[0].code}


# What the page shows -------------------------------------------------------------------------------------------------


def shown(request: HttpRequest, facts: Traced) -> dict[str, Any]:
    """Return the drawing, the same in words, and the tables."""
    words = JAPANESE if is_japanese(language()) else ENGLISH
    sheet = lineage_sheet(facts.trace, facts.nodes, Eyes(Reader.INSPECTOR, facts), box_way)
    few = drawn(request, sheet, words)
    return {
        "found": facts.trace, "svg": SafeString(lineage_svg(few, "ln", described_by="tw", words=words)),
        "together": few is not sheet, "opened": spot_of(request) is not None, "in_words": in_words(facts),
        "paths": paths(sheet if len(sheet.arrows) <= PATHS_MAX else few), "paths_together": len(sheet.arrows) > PATHS_MAX,
        "shares": [share_row(facts, origin) for origin in facts.trace.origins], "acts": acts(request, facts.trace),
    }


def box_way(stop: Stop) -> str:
    """Return where the box of a stop leads."""
    return stop_way(stop)[0]


def drawn(request: HttpRequest, sheet: LineageSheet, words: Words) -> LineageSheet:
    """Return the sheet as it is drawn: crowded columns put together, each with the address that opens it."""
    asked = {name: value for name, value in request.GET.items() if name != "open"}

    def opened(tier: Tier, column: int) -> str:
        return f"{reverse('trace')}?{urlencode({**asked, 'open': f'{tier.name.lower()}-{column}'})}"

    return grouped(sheet, BOXES_MAX, opened=spot_of(request), link=opened, words=words)


def spot_of(request: HttpRequest) -> Spot | None:
    """Return the tier and column whose boxes are to be drawn one by one."""
    name, _dash, number = request.GET.get("open", "").partition("-")
    tier = Tier.__members__.get(name.upper())
    return (tier, int(number)) if tier and number in {str(column) for column in range(8)} else None


def paths(sheet: LineageSheet) -> list[tuple[str, LineageRow]]:
    """Return every way of the drawing in words, with the name of its tier."""
    named = {Tier.CONTAINS: _("contains"), Tier.TOUCHED: _("may have touched"), Tier.EXCLUDED: _("excluded")}
    return [(named[row.tier], row) for row in lineage_rows(sheet)]


def share_row(facts: Traced, origin: OriginShare) -> ShareRow:
    """Return one harvest with its share of the dry mass."""
    href = way("lot", origin.lot.code) if origin.lot else ""
    return ShareRow(origin, cultivar_word(origin), certified(origin.state), facts.parties.get(origin.grower, ""), href)


def acts(request: HttpRequest, found: Trace) -> list[Act]:
    """Return what can be done next, as far as this person may."""
    one = found.lots[0]
    offered = (
        ("holding-hold", Act(_("Hold all of %(lot)s") % {"lot": one.name}, way("holding-hold", lot=one.code))),
        ("recall", Act(_("Recall report"), way("recall", lot=one.code))),
        ("dossier", Act(_("Dossier"), way("dossier", lot=one.code))),
        ("lot", Act(_("Lot book"), way("lot", one.code))),
    )
    return [act for page, act in offered if act.href and may(request.user, page)]
