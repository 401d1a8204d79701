"""Addresses of what is sold: cases, orders, rounds of parcels, returns; and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk.casing import CaseOpenView, CaseView, case_label
from lots.desk.delivery import slip
from lots.desk.doors import ADMINISTRATOR, AUDITOR, HANDS, QUALITY, RECALL_LEAD
from lots.desk.ordering import OrderCancelView, OrdersView, order_label, order_page
from lots.desk.parcelling import ForgetView, RoundView
from lots.desk.recording import ActView
from lots.desk.returning import ReturnView, SettleView

SENDERS = HANDS | {RECALL_LEAD}

#: Roles by the name of the page.
SALE_ROLES = MappingProxyType({
    "packing-case": HANDS, "packing-case-open": HANDS, "dispatch-orders": SENDERS, "dispatch-order": SENDERS | {AUDITOR},
    "dispatch-order-cancel": SENDERS, "dispatch-round": SENDERS, "dispatch-returns": SENDERS,
    "dispatch-return-settle": frozenset({QUALITY, ADMINISTRATOR}), "dispatch-forget": frozenset({ADMINISTRATOR}),
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


sale_patterns = [
    *screen("tins-and-bags/case/", CaseView),
    *screen("tins-and-bags/case/open/", CaseOpenView),
    path("tins-and-bags/case/<str:code>/label/", case_label, name="packing-case-file"),
    *screen("going-out/orders/", OrdersView),
    *screen("going-out/orders/cancel/", OrderCancelView),
    path("going-out/orders/<str:code>/", order_page, name="dispatch-order"),
    path("going-out/orders/<str:code>/label/", order_label, name="dispatch-order-file"),
    path("going-out/slip/<int:step>/", slip, name="dispatch-file"),
    *screen("going-out/round/", RoundView),
    *screen("going-out/returns/", ReturnView),
    *screen("going-out/returns/<int:returned>/", SettleView),
    *screen("going-out/forget/", ForgetView),
]
