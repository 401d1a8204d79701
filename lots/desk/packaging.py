"""Packaging lots: how many came, how many became packs or were spoiled, and how many should be left."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.saying import Said
from lots.desk.ways import way
from lots.read.packaging import PackagingStock, packaging_lots
from lots.trade.units import number_text
from lots.trade.weighing import Verdict


@require_safe
def packaging_left(request: HttpRequest) -> HttpResponse:
    """Show every packaging lot that was taken in."""
    back = may(request.user, "recall")
    return render(request, "desk/packaging.html", {"lots": [lot_entry(one, back=back) for one in packaging_lots()]})


def lot_entry(one: PackagingStock, *, back: bool) -> Said:
    """Return one packaging lot as an entry."""
    sentence = _("From %(supplier)s, paper %(paper)s: %(came)s came, %(taken)s were taken, %(left)s should be left.") % {
        "supplier": one.supplier, "paper": one.paper_no, "came": number_text(one.came_count, 0), "taken": number_text(one.taken_count, 0),
        "left": number_text(one.left_count, 0),
    }
    beyond = one.left_count < 0
    return Said(
        what=_("%(code)s, %(item)s.") % {"code": one.code, "item": one.item}, sentence=sentence, verdict=Verdict.LOOK if beyond else None,
        word=_("more taken than came") if beyond else "", href=way("recall", packaging=one.code) if back and one.taken_count else "",
        do=_("What stands in it") if back and one.taken_count else "",
    )
