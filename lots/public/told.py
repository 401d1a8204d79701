"""The parts of a pack's page that depend on its facts alone, rendered once and kept; its state is asked every time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.core.cache import cache
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from lots.public.words import PackWords
from lots.read.pack_pages import HouseWords, PackPage

KEPT_S = 600


@dataclass(frozen=True, slots=True)
class Told:
    """What a page tells of the facts: product, head, way and keeping as finished markup."""

    product: str
    best_before: str
    is_past: bool
    head: SafeString
    way: SafeString


def told(page: PackPage, house: HouseWords, language: str, today_on: dt.date) -> Told:
    """Return the told parts. They are kept under a digest of everything that they say, so that nothing stale is shown."""
    names = ",".join(page.growers)
    key = f"told:{page.digest}:{language}:{today_on}:{bool(page.stops)}:{hash((house, names))}"
    kept: tuple[str, str, bool, str, str] | None = cache.get(key)
    if kept is None:
        kept = rendered(page, house, language, today_on)
        cache.set(key, kept, KEPT_S)
    product, best_before, is_past, head, way = kept
    return Told(product, best_before, is_past, mark_safe(head), mark_safe(way))  # noqa: S308  # our own templates, escaped there


def rendered(page: PackPage, house: HouseWords, language: str, today_on: dt.date) -> tuple[str, str, bool, str, str]:
    """Render the parts anew."""
    words = PackWords(page, language, today_on)
    context = {"words": words, "page": page, "house": house, "language": language}
    head, way = (render_to_string(f"public/pack_{part}.html", context) for part in ("head", "way"))
    return words.product, words.best_before, words.is_past, head, way
