"""Goods in: a delivery is taken in or sent away; the list of deliveries."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.desk.forms.goods import GoodsForm, SendAwayForm
from lots.desk.forms.plain import Answers
from lots.desk.forms.weighing import wet
from lots.desk.recorded import recorded, step_line
from lots.desk.recording import ActView
from lots.desk.saying import capital, count_word
from lots.desk.tables.goods import DeliveryTable
from lots.desk.tables.stream import streamed
from lots.desk.weighed import COARSE, WeighedView
from lots.desk.words import mass, material_word, printed
from lots.models import GoodsReceipt, GoodsRefused, Party
from lots.read.names import opened
from lots.read.receiving import deliveries
from lots.read.recent import recent
from lots.read.registers import in_force
from lots.record import receiving
from lots.record.acts import Act, Receipt

SUPPLIES = frozenset({"supplier", "grower", "refiner"})
PER_PAGE = 25


def suppliers() -> Answers:
    """Return the parties that goods come from, by code and name."""
    rows = [row for row in in_force(Party) if SUPPLIES & set(row.roles.split())]
    names = opened(row.name for row in rows)
    return Answers([(row.code, f"{row.code}, {names[row.name]}" if row.name in names else row.code) for row in rows])


class AcceptView(WeighedView):
    """Take goods in."""

    form_class = GoodsForm
    template_name = "desk/receiving.html"
    page = "receiving"
    door = "receiving"
    usual_scale = {"scale": COARSE}

    def options(self) -> dict[str, Any]:
        """Return scales and suppliers."""
        return {**super().options(), "suppliers": suppliers()}

    def write(self, act: Act, form: GoodsForm) -> Receipt:
        """Write the delivery down."""
        facts = form.cleaned_data
        paper = receiving.Paper(
            facts["paper_no"], facts["paper_kind"], facts["stated_mg"], facts["label_check"], facts["label_note"], facts["seal"],
        )
        return receiving.accept(
            act, supplier=facts.get("supplier") or "", material=facts["material"], weighed=form.weight("weighed_mg"), paper=paper,
            supplier_lot=facts["supplier_lot"], moisture=wet(facts["moisture"]), state=facts["state"], origin=facts["origin"],
            hold_why=facts["hold_why"], happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: GoodsForm) -> str:
        """Return the read-back of the delivery."""
        row = GoodsReceipt.objects.get(pk=receipt.step)
        words = {
            "what": material_word(form.cleaned_data["material"]), "mass": form.said("weighed_mg"), "lot": printed(receipt.lots[0]),
            "code": row.supplier_lot,
        }
        if row.lot_assigned:
            return _("%(mass)s of %(what)s: lot %(lot)s. No code came with it, so write %(code)s on it.") % words
        return _("%(mass)s of %(what)s, the supplier's %(code)s: lot %(lot)s.") % words

    def context(self) -> dict[str, Any]:
        """Return the last deliveries."""
        return {"recorded": recorded(recent("receiving", ("accept",))), "sent_away": bool(self.suppliers_known)}

    @property
    def suppliers_known(self) -> bool:
        """Whether the register holds anybody that goods come from."""
        return bool(suppliers().known)


class SendAwayView(ActView):
    """Send goods away."""

    form_class = SendAwayForm
    template_name = "desk/receiving_refuse.html"
    page = "receiving-refuse"
    door = "receiving"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return the suppliers."""
        return {"suppliers": suppliers()}

    def write(self, act: Act, form: SendAwayForm) -> Receipt:
        """Write down what was sent away."""
        facts = form.cleaned_data
        return receiving.refuse(
            act, supplier=facts.get("supplier") or "", material=facts["material"], paper_no=facts["paper_no"], why=facts["why"],
            supplier_lot=facts["supplier_lot"], stated_mg=facts["stated_mg"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: SendAwayForm) -> str:
        """Return what was sent away."""
        return _("Sent away: %(what)s, paper %(paper)s.") % {
            "what": material_word(form.cleaned_data["material"]), "paper": form.cleaned_data["paper_no"],
        }

    def context(self) -> dict[str, Any]:
        """Return what was sent away of late."""
        steps = recent("receiving", ("refuse",))
        rows = GoodsRefused.objects.select_related("supplier").in_bulk([step.step for step in steps])
        return {"recorded": [
            step_line(step, _("%(what)s of %(supplier)s.") % {
                "what": capital(material_word(rows[step.step].material)), "supplier": rows[step.step].supplier.code,
            }, " ".join([mass(rows[step.step].stated_mg) if rows[step.step].stated_mg else "", rows[step.step].why]).strip())
            for step in steps
        ]}


def delivery_table() -> DeliveryTable:
    """Return the table of all deliveries."""
    rows = deliveries()
    table = DeliveryTable(rows)
    table.summary = ngettext("%(count)s delivery.", "%(count)s deliveries.", len(rows)) % {"count": capital(count_word(len(rows)))}
    return table


@require_safe
def listing(request: HttpRequest) -> HttpResponse:
    """Show what came in and what was sent away."""
    table = delivery_table()
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    return render(request, "desk/receiving_list.html", {"table": table})


@require_safe
def listing_csv(request: HttpRequest) -> HttpResponseBase:
    """Send all deliveries as a file."""
    table = delivery_table()
    RequestConfig(request, paginate=False).configure(table)
    return streamed(table, "goods-in")
