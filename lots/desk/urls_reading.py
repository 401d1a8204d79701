"""Addresses of the pages that read the book, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import path

from lots.desk import lots, today
from lots.desk.doors import EVERYBODY

#: Roles by the name of the page.
READING_ROLES = MappingProxyType(dict.fromkeys(
    (
        "today", "lots", "lots-csv", "lot", "lot-book", "balance", "balance-node", "balance-csv", "season", "trace",
        "papers", "entry",
    ), EVERYBODY,
))

reading_patterns = [
    path("", today.today, name="today"),
    path("lots/", lots.lots, name="lots"),
    path("lots.csv", lots.lots_csv, name="lots-csv"),
]
