"""Lots: the list, the same as a file, and the book of one lot."""

from __future__ import annotations

from typing import Any

from django.db.models import Sum
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django_tables2 import RequestConfig

from lots.desk.tables.lazy import ReadRows
from lots.desk.tables.lots import LotFilter, LotTable
from lots.desk.tables.stream import streamed
from lots.desk.ways import way
from lots.desk.words import language, material_word
from lots.read.lots import LotRows, lots_known
from lots.trade.materials import MATERIALS
from lots.trade.units import kg_text, number_text

PER_PAGE = 25
#: What is left out on the page: the list of one material has room for yield and distance, that of all has not. The file
#: has every column.
HIDDEN_OF_ONE, HIDDEN_OF_ALL = ("material", "state"), ("cultivar", "state", "yield_frac", "z")


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
    material = material_of(asked)
    hidden = () if as_file else HIDDEN_OF_ONE if material else HIDDEN_OF_ALL
    table = LotTable(ReadRows(LotRows(asked.qs.order_by("-pk"))), exclude=hidden, attrs={"class": "table stack many"})
    if not as_file and material and MATERIALS[material].moisture_class != "powder":
        table.in_hundredths()
    return asked, table


def material_of(asked: LotFilter) -> str:
    """Return the one material that was asked for, or nothing."""
    valid = asked.form.is_bound and asked.form.is_valid()
    return str(asked.form.cleaned_data.get("material") or "") if valid else ""


def summary(asked: LotFilter, table: LotTable) -> str:
    """Return how many lots were found, and of how much."""
    count = table.paginator.count
    total = asked.qs.order_by().aggregate(mass=Sum("mass_mg"))["mass"] or 0
    material = material_of(asked)
    what = ngettext("%(count)s lot", "%(count)s lots", count) % {"count": number_text(count, 0)}
    if material:
        return _("%(what)s of %(material)s, %(mass)s as read.") % {
            "what": what, "material": material_word(material), "mass": kg_text(total, 2, language()),
        }
    return _("%(what)s.") % {"what": what}
