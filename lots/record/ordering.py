"""Orders: what somebody wants of which product, until when; an order is served in part or whole, or cancelled."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.utils.translation import gettext as _

from lots.codes.lots import print_form
from lots.codes.sale import ORDER_LETTER
from lots.models import OrderCancel, OrderLine, Party, Product, SalesOrder
from lots.read.ordering import order_named, orders_now
from lots.record.acts import act
from lots.record.casing import new_code
from lots.record.errors import Refused
from lots.record.writing import Writing


@act("ordering.take")
def take(
    w: Writing,
    *,
    ship_to: str,
    lines: Mapping[str, int],
    bill_to: str = "",
    wanted_on: dt.date | None = None,
    reference: str = "",
    market: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Take an order: ``lines`` gives the packs wanted by product code."""
    if not lines:
        raise Refused(_("Nothing was ordered. How many packs of which product?"), "lines")
    step = w.step("ordering", "take", happened_at)
    party = w.in_force(Party, ship_to, "parties", "ship_to")
    payer = w.in_force(Party, bill_to, "parties", "bill_to") if bill_to and bill_to != ship_to else None
    w.add(SalesOrder(
        step=step, code=new_code(w, ORDER_LETTER, step), ship_to=party, bill_to=payer, wanted_on=wanted_on,
        reference=reference.strip(), market=market.strip(),
    ))
    for product, count in lines.items():
        if count < 1:
            raise Refused(_("How many packs of %(product)s are wanted? At least one.") % {"product": product}, "lines")
        w.add(OrderLine(step=step, product=w.in_force(Product, product, "products", "lines"), pack_count=count))


@act("ordering.cancel")
def cancel(w: Writing, *, order: str, why: str, happened_at: dt.datetime | None = None) -> None:
    """Cancel what an order still asks for; what has gone stays gone."""
    found = standing_order(order)
    if not why.strip():
        raise Refused(_("Say why order %(order)s is cancelled.") % {"order": print_form(found.code)}, "why")
    step = w.step("ordering", "cancel", happened_at)
    w.add(OrderCancel(step=step, order=found.step, why=why.strip()))


def standing_order(code: str) -> SalesOrder:
    """Return an order that is open, or say why there is none."""
    found = order_named(code)
    if found is None:
        raise Refused(_("No order %(code)s was taken. Scan its paper again, or look under Orders.") % {"code": code}, "order")
    now = orders_now([found])[0]
    if now.cancelled:
        raise Refused(_("Order %(order)s was cancelled.") % {"order": now.name}, "order")
    if not now.open_count:
        raise Refused(_("Order %(order)s was served whole before.") % {"order": now.name}, "order")
    return found
