"""A round of parcels from a pasted or uploaded list; and a person's contact is forgotten."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from types import MappingProxyType
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.dispatch import parties
from lots.desk.forms.returning import ForgetForm, RoundForm
from lots.desk.recording import ActView
from lots.desk.saying import Said, short_day_text
from lots.desk.words import entry_number, joined
from lots.models import Product
from lots.read.registers import in_force
from lots.read.sealed import WORD_LEAST, Held, Standing, held_of
from lots.record import dispatch, forgetting
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.record.parcels import Parcel
from lots.trade.units import number_text

FILE_MOST = 400_000
HEADINGS = frozenset({"name", "氏名", "名前", "お名前", "宛名"})
COLUMNS = 5


class RoundView(ActView):
    """Send a round."""

    form_class = RoundForm
    template_name = "desk/round.html"
    page = "dispatch-round"
    door = "dispatch"
    has_live = False
    line_of = MappingProxyType({"packs": "parcels"})

    def options(self) -> dict[str, Any]:
        """Return the buyers."""
        return {"consignees": parties("consignee")}

    def post(self, request: HttpRequest, **kwargs: Any) -> HttpResponse:
        """Read a file into the list, or write."""
        sent = request.FILES.get("list_file")
        if sent is None:
            return super().post(request, **kwargs)
        form = self.form_class(initial={"parcels": read_file(sent.read(FILE_MOST + 1))}, **self.options())
        form.leave_url = reverse(self.door)
        return self.page_with(form, came_from=sent.name)

    def write(self, act: Act, form: RoundForm) -> Receipt:
        """Send all, or none."""
        facts = form.cleaned_data
        return dispatch.parcels(
            act, consignee=facts["consignee"], parcels=list(parcels_in(facts["parcels"])), carrier=facts["carrier"],
            carrier_contact=facts["carrier_contact"], document_no=facts["document_no"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: RoundForm) -> str:
        """Return how many parcels went."""
        count = len(list(parcels_in(form.cleaned_data["parcels"])))
        return ngettext("%(count)s parcel is sent.", "%(count)s parcels are sent.", count) % {"count": number_text(count, 0)}

    def context(self) -> dict[str, Any]:
        """Return the codes of the products."""
        return {"products": [(row.code, row.name) for row in in_force(Product)]}


def read_file(data: bytes) -> str:
    """Return the text of a list; the older Japanese form of text is read as well."""
    if len(data) > FILE_MOST:
        return ""
    for coding in ("utf-8-sig", "cp932"):
        try:
            return data.decode(coding).replace("\x00", "")
        except UnicodeDecodeError:
            continue
    return ""


def parcels_in(text: str) -> Iterator[Parcel]:
    """Yield the parcels of a list, or refuse lines that have not five columns, all of them named."""
    rows = [row for row in csv.reader(io.StringIO(text), delimiter=mark_between(text)) if any(cell.strip() for cell in row)]
    if rows and rows[0][0].strip().lower() in HEADINGS:
        rows = rows[1:]
    short = [str(number) for number, row in enumerate(rows, 1) if len(row) != COLUMNS]
    if short:
        msg = _(
            "Rows %(rows)s have not five columns: name, address, mail, product, count. An address with commas stands in quotation marks."
        )
        raise Refused(msg % {"rows": _(", ").join(short[:20])}, "parcels")
    known = {row.code.casefold(): row.code for row in in_force(Product)}
    for name, address, mail, product, count in ([cell.strip() for cell in row] for row in rows):
        typed = count.replace(",", "")
        number = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 7 else 0
        yield Parcel(name, address, mail, known.get(product.casefold(), product), number)


def mark_between(text: str) -> str:
    """Return what parts the columns: a tab, a semicolon or a comma."""
    first = text.strip().split("\n", 1)[0]
    return next((mark for mark in ("\t", ";") if first.count(mark) >= COLUMNS - 1), ",")


class ForgetView(ActView):
    """Forget a person's contact."""

    form_class = ForgetForm
    template_name = "desk/forget.html"
    page = "dispatch-forget"
    door = "dispatch"
    has_live = False
    line_of = MappingProxyType({"values": ""})

    @property
    def asked(self) -> str:
        """The word that was looked for."""
        return str(self.request.GET.get("who", "")).strip()

    def linked(self) -> dict[str, str]:
        """Put what was found into the form: nothing is forgotten that was not shown."""
        return {"values": " ".join(one.commitment for one in held_of(self.asked))}

    def write(self, act: Act, form: ForgetForm) -> Receipt:
        """Forget it."""
        return forgetting.forget(act, commitments=form.commitments, why=form.cleaned_data["why"])

    def said(self, _receipt: Receipt, form: ForgetForm) -> str:
        """Return how much was forgotten."""
        count = len(form.commitments)
        return ngettext("%(count)s value is forgotten.", "%(count)s values are forgotten.", count) % {"count": number_text(count, 0)}

    def context(self) -> dict[str, Any]:
        """Return what was found, and where it stands."""
        found = held_of(self.asked)
        too_short = bool(self.asked) and len(self.asked) < WORD_LEAST
        return {"asked": self.asked, "found": [held_entry(one) for one in found], "too_short": too_short}


def held_entry(one: Held) -> Said:
    """Return a value that can be forgotten, and where its seal stays."""
    stands = joined(stands_words(each) for each in one.stands[:3])
    more = len(one.stands) - 3
    tail = ngettext("And %(count)s row more.", "And %(count)s rows more.", more) % {"count": more} if more > 0 else ""
    return Said(what=_("%(what)s.") % {"what": one.words}, sentence=joined((stands, tail)), side=short_day_text(one.stands[0].at))


def stands_words(each: Standing) -> str:
    """Return one row that stays."""
    tables = {
        "consignment": _("Delivery, entry %(entry)s."), "pack_return": _("Return, entry %(entry)s."),
        "party": _("Register of buyers, entry %(entry)s."), "party_contact": _("Register of contacts, entry %(entry)s."),
    }
    return tables.get(each.table, "%(entry)s") % {"entry": entry_number(each.entry)}
