"""Addresses of goods in and of stock from before the book, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import path

from lots.desk import receiving
from lots.desk.doors import EVERYBODY, MILL_HANDS
from lots.desk.opening import OpeningView
from lots.desk.urls_field import screen

#: Roles by the name of the page.
GOODS_ROLES = MappingProxyType({
    "receiving": MILL_HANDS, "receiving-refuse": MILL_HANDS, "receiving-list": EVERYBODY, "receiving-csv": EVERYBODY, "opening": MILL_HANDS,
})

goods_patterns = [
    *screen("goods-in/", receiving.AcceptView),
    *screen("goods-in/send-away/", receiving.SendAwayView),
    path("goods-in/list/", receiving.listing, name="receiving-list"),
    path("goods-in/list.csv", receiving.listing_csv, name="receiving-csv"),
    *screen("goods-in/from-before/", OpeningView),
]
