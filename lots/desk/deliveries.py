"""The deliveries of a time: the list, the same as a file, and what to narrow it by."""

from __future__ import annotations

import datetime as dt

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.desk.forms.plain import DayField
from lots.desk.tables.files import spreadsheet
from lots.desk.tables.goods import DeliveryTable, delivery_row
from lots.desk.ways import way
from lots.desk.words import material_word
from lots.read.receiving import Delivery, deliveries
from lots.trade.stages import BOUGHT
from lots.trade.units import number_text

PER_PAGE = 50
MOST = 5_000
#: What only the file has: the page would run off its side.
IN_FILE = ("supplier_lot", "label", "certificate", "stated_mg")


class DeliveryFilter(forms.Form):
    """Words, material, what became of it, and the days."""

    q = forms.CharField(label=_("Supplier, lot or paper"), required=False)
    material = forms.ChoiceField(label=_("Material"), required=False)
    became = forms.ChoiceField(label=_("What became of it"), required=False, choices=(
        ("", _("all")), ("in", _("taken in")), ("held", _("held")), ("away", _("sent away")),
    ))
    first_on = DayField(label=_("From the day"), required=False)
    last_on = DayField(label=_("To the day"), required=False)

    def __init__(self, data: object) -> None:
        super().__init__(data or {})
        self.fields["material"].choices = [("", _("all materials")), *((key, material_word(key)) for key in BOUGHT)]  # type: ignore[attr-defined]

    def keeps(self, one: Delivery) -> bool:
        """Tell whether a delivery was asked for."""
        asked = self.cleaned_data if self.is_valid() else {}
        words = f"{one.supplier} {one.supplier_lot} {one.paper} {one.lot.name if one.lot else ''} {one.lot.code if one.lot else ''}"
        became = "away" if one.lot is None else "held" if one.is_held else "in"
        day = timezone.localtime(one.at).date()
        return (
            (asked.get("q") or "").strip().lower() in words.lower() and asked.get("material", "") in {"", one.material}
            and asked.get("became", "") in {"", became}
            and (asked.get("first_on") or dt.date.min) <= day <= (asked.get("last_on") or dt.date.max)
        )


def listed(request: HttpRequest, *, as_file: bool = False) -> tuple[DeliveryFilter, DeliveryTable]:
    """Return the question and its table."""
    asked = DeliveryFilter(request.GET)
    rows = [delivery_row(one) for one in deliveries(MOST) if asked.keeps(one)]
    table = DeliveryTable(rows, exclude=() if as_file else IN_FILE, attrs={"class": "table stack many"})
    return asked, table


@require_safe
def listing(request: HttpRequest) -> HttpResponse:
    """Show the deliveries that were asked for."""
    asked, table = listed(request)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    query = request.GET.urlencode()
    table.csv_url = f"{way('receiving-list-file')}?{query}" if query else way("receiving-list-file")
    count = len(table.rows)
    table.summary = ngettext("%(count)s delivery.", "%(count)s deliveries.", count) % {"count": number_text(count, 0)}
    return render(request, "desk/deliveries.html", {"form": asked, "table": table})


@require_safe
def listing_file(request: HttpRequest) -> HttpResponse:
    """Return them as a file for a spreadsheet."""
    _asked, table = listed(request, as_file=True)
    RequestConfig(request, paginate=False).configure(table)
    return spreadsheet(table, "deliveries")
