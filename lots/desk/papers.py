"""Papers: what can be printed, and of what."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.lot_book import unknown
from lots.desk.saying import Said, short_day_text
from lots.desk.ways import way
from lots.desk.words import material_word
from lots.read.finding import find
from lots.read.packed import Packed, packed_lately


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper: the page that asks for it, its name, what it holds, and the kinds of file that it comes as."""

    page: str
    name: str
    what: str
    files: str


def kinds() -> list[Paper]:
    """Return every kind of paper."""
    return [
        Paper("dossier", _("Lot dossier"), _("For a buyer or inspector: everything that the book says of one lot, in chapters, "
                                             "with both drawings."), "PDF"),
        Paper("recall", _("Recall report"), _("For a recall or a drill: which packs hold a lot or may have touched it, who has "
                                              "them, what is here."), "PDF, XLSX, CSV"),
        Paper("label-sheet", _("Labels"), _("Symbols for the packs of a series, or for lots, at true size."), "PDF"),
        Paper("balance-csv", _("Balances"), _("For a spreadsheet: every balance with inputs, outputs, losses and verdict."),
              "CSV"),
        Paper("lots-csv", _("Lots"), _("For a spreadsheet: every lot with its leaf, its mass and what is left of it."), "CSV"),
    ]


@require_safe
def papers(request: HttpRequest) -> HttpResponse:
    """Show what can be printed; a scanned lot leads to the papers of its own book."""
    code = request.GET.get("code", "").strip()
    found = find(code) if code else None
    if found is not None and found.sure:
        return redirect(way("lot", found.lots[0].code) + "#papers")
    dossiers = may(request.user, "dossier")
    return render(request, "desk/papers.html", {
        "code": code, "unknown": unknown(found.kind, code) if found is not None else "",
        "kinds": [paper(one) for one in kinds() if way(one.page) and may(request.user, one.page)],
        "packed": [packed(one, dossiers=dossiers) for one in packed_lately()],
    })


def paper(one: Paper) -> Said:
    """Return one kind of paper as an entry."""
    do = _("Save it") if one.page.endswith("-csv") else _("Make one")
    return Said(what=_("%(name)s.") % {"name": one.name}, sentence=one.what, side=one.files, href=way(one.page), do=do)


def packed(one: Packed, *, dossiers: bool) -> Said:
    """Return what was packed lately, with the way to its dossier where this person may open one, else to its lot book."""
    href = way("dossier", lot=one.lot.code) if dossiers else way("lot", one.lot.code)
    return Said(
        what=_("%(lot)s, %(what)s.") % {"lot": one.lot.name, "what": material_word(one.lot.material)},
        sentence=_("%(count)d packs, %(product)s.") % {"count": one.pack_count, "product": one.product},
        side=short_day_text(one.packed_on), href=href, do=_("Make its dossier") if dossiers else _("Open its lot book"),
    )
