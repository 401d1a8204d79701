"""Addresses of goods that come from outside, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import deliveries, entrusting
from lots.desk.doors import AUDITOR, HANDS, MILL_HANDS
from lots.desk.hiring import BackView
from lots.desk.opening import OpeningView
from lots.desk.receiving import AcceptView, PackagingView, RefuseView
from lots.desk.recording import ActView

#: Roles by the name of the page.
GOODS_ROLES = MappingProxyType({
    "receiving": HANDS, "receiving-refuse": HANDS, "receiving-packaging": HANDS, "receiving-opening": MILL_HANDS,
    "receiving-list": HANDS | {AUDITOR}, "receiving-hire": HANDS | {AUDITOR}, "receiving-send": MILL_HANDS, "receiving-back": MILL_HANDS,
    "receiving-over": MILL_HANDS,
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


goods_patterns = [
    *screen("goods-in/", AcceptView),
    *screen("goods-in/sent-away/", RefuseView),
    *screen("goods-in/packaging/", PackagingView),
    *screen("goods-in/from-before/", OpeningView),
    path("goods-in/for-hire/", entrusting.board, name="receiving-hire"),
    *screen("goods-in/for-hire/send/", entrusting.SendView),
    *screen("goods-in/for-hire/back/", BackView),
    *screen("goods-in/for-hire/hand-over/", entrusting.HandOverView),
    path("goods-in/deliveries/", deliveries.listing, name="receiving-list"),
    path("goods-in/deliveries/file/", deliveries.listing_file, name="receiving-list-file"),
]
