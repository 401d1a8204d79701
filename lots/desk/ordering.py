"""Orders: taken and cancelled, what is open, and which lots may serve one."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.codes.lots import print_form
from lots.desk.access import may
from lots.desk.dispatch import parties
from lots.desk.forms.sale import OrderCancelForm, OrderForm
from lots.desk.lot_book import Act as Way
from lots.desk.packing import packs_text
from lots.desk.papers_out import handed_out, not_made, paper_language
from lots.desk.recorded import Line
from lots.desk.recording import ActView
from lots.desk.saying import Said
from lots.desk.ways import way
from lots.desk.words import joined, language
from lots.dossier.case_labels import order_sheet
from lots.dossier.faults import PaperFault
from lots.models import Product, SalesOrder
from lots.read.names import opened
from lots.read.ordering import LineNow, OrderNow, Serves, may_serve, open_orders, order_named, orders_now
from lots.read.registers import in_force
from lots.record import ordering
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text
from lots.trade.weighing import Verdict


class OrdersView(ActView):
    """Take an order, and see which are open."""

    form_class = OrderForm
    template_name = "desk/ordering.html"
    page = "dispatch-orders"
    door = "dispatch"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return buyers, payers and products."""
        buyers = parties("consignee")
        payers = dict([*buyers, *parties("bill-to")])
        return {"consignees": buyers, "payers": list(payers.items()), "products": list(in_force(Product))}

    def write(self, act: Act, form: OrderForm) -> Receipt:
        """Take it."""
        facts = form.cleaned_data
        return ordering.take(
            act, ship_to=facts["ship_to"], lines=form.wanted, bill_to=facts["bill_to"], wanted_on=facts["wanted_on"],
            reference=facts["reference"], market=facts["market"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, form: OrderForm) -> str:
        """Return the read-back: its number, how much, for whom."""
        order = SalesOrder.objects.get(step=receipt.step)
        return _("Order %(order)s: %(packs)s for %(who)s.") % {
            "order": print_form(order.code), "packs": packs_text(sum(form.wanted.values())),
            "who": dict(parties("consignee"))[form.cleaned_data["ship_to"]],
        }

    def context(self) -> dict[str, Any]:
        """Return the open orders."""
        orders = open_orders()
        names = names_of(orders)
        return {"orders": [order_line(order, names) for order in orders]}


def names_of(orders: list[OrderNow]) -> dict[str, str]:
    """Return the names of the parties of some orders, by code; a name that was erased is its code."""
    sealed = {order.ship_to: order.ship_to_name for order in orders} | {o.bill_to: o.bill_to_name for o in orders if o.bill_to}
    found = opened(sealed.values())
    return {code: found.get(name, code) for code, name in sealed.items()}


def order_line(order: OrderNow, names: dict[str, str]) -> Line:
    """Return an open order as an entry."""
    what = _("%(order)s, %(who)s.") % {"order": order.name, "who": names[order.ship_to]}
    return Line(order.taken_at, what, open_words(order), reverse("dispatch-order", args=[order.code]), _("Open it"), day_only=True)


def open_words(order: OrderNow) -> str:
    """Return what of an order is still to go, and until when."""
    left = _(", ").join(f"{packs_text(line.open_count)} {line.product}" for line in order.lines if line.open_count)
    still = _("Still to go: %(packs)s.") % {"packs": left} if left else _("Nothing is still to go.")
    wanted = _("Wanted on %(day)s.") % {"day": date_text(order.wanted_on, language())} if order.wanted_on else ""
    return joined((still, wanted))


class OrderCancelView(ActView):
    """Cancel an order."""

    form_class = OrderCancelForm
    template_name = "desk/ordering_cancel.html"
    page = "dispatch-order-cancel"
    door = "dispatch-orders"
    has_live = False

    def write(self, act: Act, form: OrderCancelForm) -> Receipt:
        """Cancel it."""
        facts = form.cleaned_data
        code = facts["order"].code if facts["order"].kind == "lot" else facts["order"].typed
        return ordering.cancel(act, order=code, why=facts["why"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, form: OrderCancelForm) -> str:
        """Return what was cancelled."""
        return _("Order %(order)s is cancelled.") % {"order": form.cleaned_data["order"].typed}


@require_safe
def order_page(request: HttpRequest, code: str) -> HttpResponse:
    """Show one order: what is open, which series may serve it, and which may not and why."""
    order = found_order(code)
    names = names_of([order])
    series = may_serve(order, timezone.localdate())
    with translation.override("en" if language() == "ja" else "ja"):
        other_title = _("Order %(order)s") % {"order": order.name}
    return render(request, "desk/order.html", {
        "title": _("Order %(order)s") % {"order": order.name}, "other_title": other_title, "lead": lead(order, names),
        "lines": [line_shown(line) for line in order.lines], "serves": [serves_entry(one) for one in series if one.may_go],
        "left_out": [left_out_entry(one) for one in series if not one.may_go], "acts": acts(request, order),
    })


def found_order(code: str) -> OrderNow:
    """Return an order by its code, or raise Http404."""
    row = order_named(code)
    if row is None:
        raise Http404(_("No order %(code)s was taken.") % {"code": code})
    return orders_now([row])[0]


def lead(order: OrderNow, names: dict[str, str]) -> str:
    """Return for whom it is, who pays, under which number of theirs, and what is open."""
    who = _("For %(who)s.") % {"who": names[order.ship_to]}
    pays = _("%(who)s pays.") % {"who": names[order.bill_to]} if order.bill_to else ""
    theirs = _("Their number: %(number)s.") % {"number": order.reference} if order.reference else ""
    market = _("Market: %(market)s.") % {"market": order.market} if order.market else ""
    state = _("Cancelled.") if order.cancelled else open_words(order)
    return joined((who, pays, theirs, market, state))


def line_shown(line: LineNow) -> dict[str, Any]:
    """Return one line of an order as the table shows it."""
    name = (language() == "ja" and line.name_ja) or line.name
    counts = {"asked_count": line.asked_count, "gone_count": line.gone_count, "open_count": line.open_count}
    return {"name": f"{name} ({line.product})", **counts}


def serves_entry(one: Serves) -> Said:
    """Return a series that may serve, with the way to its label."""
    cased = _("%(packs)s more in cases.") % {"packs": packs_text(one.cased_count)} if one.cased_count else ""
    best = _("Best before %(day)s.") % {"day": date_text(one.best_before_on, language())}
    sentence = joined((_("%(packs)s free.") % {"packs": packs_text(one.free_count)}, cased, best))
    return Said(what=f"{one.lot}.", sentence=sentence, side=one.product, href=way("lot", one.lot_code), do=_("Open its lot book"))


def left_out_entry(one: Serves) -> Said:
    """Return a series that may not serve, and why."""
    best = _("Best before %(day)s has passed.") % {"day": date_text(one.best_before_on, language())}
    sentence = _("%(reason)s.") % {"reason": one.hold.reason.rstrip(".")} if one.hold else best
    word = _("stopped") if one.hold else _("past its day")
    return Said(
        what=f"{one.lot}.", sentence=sentence, side=one.product, verdict=Verdict.STOP, word=word, href=way("lot", one.lot_code),
        do=_("Open its lot book"),
    )


def acts(request: HttpRequest, order: OrderNow) -> list[Way]:
    """Return what can be done with an order."""
    offered = [
        ("dispatch", Way(_("Send it out"), way("dispatch", packs=order.code))),
        ("dispatch-order-file", Way(_("Print its label"), way("dispatch-order-file", order.code))),
        ("dispatch-order-cancel", Way(_("Cancel the rest of it"), way("dispatch-order-cancel", order=order.code))),
    ]
    return [one for page, one in offered if may(request.user, page) and (order.open_count or page == "dispatch-order-file")]


@require_safe
def order_label(request: HttpRequest, code: str) -> HttpResponse:
    """Return the label of an order as PDF: ``?language=ja``."""
    order = found_order(code)
    try:
        with translation.override(paper_language(request.GET)):
            return handed_out(order_sheet([order]), f"label-{order.code}.pdf")
    except PaperFault as fault:
        return not_made(request, fault)
