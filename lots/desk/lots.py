"""Lots: the list, the same as a file, and the book of one lot."""

from __future__ import annotations

from typing import Any

from django.db.models import Sum
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django_tables2 import RequestConfig

from lots.desk.saying import paragraph
from lots.desk.tables.lazy import ReadRows
from lots.desk.tables.lots import LotFilter, LotTable
from lots.desk.tables.stream import streamed
from lots.desk.ways import way
from lots.desk.words import language, material_word
from lots.read.lots import LotRows, lots_known
from lots.trade.units import MG_PER_KG, number_text

PER_PAGE = 25
#: Columns that say something only where the list is of one material.
OF_ONE_MATERIAL = ("yield_frac", "z")


def lots(request: HttpRequest) -> HttpResponse:
    """Show the lots that were asked for, a page at a time."""
    asked, table = listed(request)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    query = request.GET.urlencode()
    table.csv_url = f"{way('lots-csv')}?{query}" if query else way("lots-csv")
    table.summary = summary(asked, table)
    return render(request, "desk/lots.html", {"filter": asked, "table": table})


def lots_csv(request: HttpRequest) -> HttpResponseBase:
    """Send every lot that was asked for as a file."""
    _asked, table = listed(request, as_file=True)
    RequestConfig(request, paginate=False).configure(table)
    return streamed(table, "lots")


def listed(request: HttpRequest, *, as_file: bool = False) -> tuple[LotFilter, Any]:
    """Return the question and its table."""
    asked = LotFilter(request.GET or None, queryset=lots_known())
    one = bool(asked.form.is_bound and asked.form.is_valid() and asked.form.cleaned_data.get("material"))
    hidden = () if as_file else (("material",) if one else OF_ONE_MATERIAL)
    return asked, LotTable(ReadRows(LotRows(asked.qs.order_by("-pk"))), exclude=hidden)


def summary(asked: LotFilter, table: LotTable) -> str:
    """Return how many lots were found, and of how much."""
    count = table.paginator.count
    total = asked.qs.order_by().aggregate(mass=Sum("mass_mg"))["mass"] or 0
    data = asked.form.cleaned_data if asked.form.is_bound and asked.form.is_valid() else {}
    what = ngettext("%(count)s lot", "%(count)s lots", count) % {"count": number_text(count, 0)}
    if data.get("material"):
        mass = number_text(total / MG_PER_KG, 2, language=language())
        return paragraph([_("%(what)s of %(material)s, %(mass)s kg as read.") % {
            "what": what, "material": material_word(data["material"]), "mass": mass}])
    return _("%(what)s.") % {"what": what}
