"""Addresses that may be missing: a link whose page does not exist is left out, never dead."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.urls import NoReverseMatch, reverse


def way(name: str, *args: Any, **asked: str) -> str:
    """Return the address of a page with its question (``?lot=…``), or nothing while no page has that name."""
    try:
        address = reverse(name, args=args)
    except NoReverseMatch:
        return ""
    return f"{address}?{urlencode(asked)}" if asked else address
