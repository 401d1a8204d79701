"""Addresses of the pages that read the book, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import path

from lots.desk import balance, balance_node, entries, lot_book, lots, milling_plan, papers, season, today, trace
from lots.desk.doors import EVERYBODY

#: Roles by the name of the page.
READING_ROLES = MappingProxyType(dict.fromkeys(
    (
        "today", "lots", "lots-csv", "lot", "lot-book", "balance", "balance-node", "balance-csv", "season", "trace",
        "papers", "entry", "milling-plan",
    ), EVERYBODY,
))

reading_patterns = [
    path("", today.today, name="today"),
    path("lots/", lots.lots, name="lots"),
    path("lots.csv", lots.lots_csv, name="lots-csv"),
    path("lot-book/", lot_book.lot_book_asked, name="lot-book"),
    path("lot/<str:code>/", lot_book.lot, name="lot"),
    path("balance/", balance.balance, name="balance"),
    path("balance/<int:step>/", balance_node.balance_node, name="balance-node"),
    path("balance.csv", balance.balance_csv, name="balance-csv"),
    path("season/", season.season, name="season"),
    path("trace/", trace.trace, name="trace"),
    path("papers/", papers.papers, name="papers"),
    path("stones/plan/", milling_plan.plan, name="milling-plan"),
    path("entry/<int:seq>/", entries.entry, name="entry"),
]
