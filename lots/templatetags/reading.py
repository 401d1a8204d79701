"""What the reading pages need beside the ledger's own tags: sentences whose codes and dates never break over a line."""

from __future__ import annotations

import re
from typing import Any

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

register = template.Library()
# Codes and numbers of papers with a hyphen, dates with their weekday, clock times: whatever a reader takes in at one look.
HELD = re.compile(
    r"\d{4}-\d\d-\d\d(?: \(\w{3}\)|（.）)?(?: \d\d:\d\d)?|(?<![\w-])[A-Z]{1,4}[0-9]{0,4}-[0-9A-Z-]*[0-9][0-9A-Z-]*(?!\w)"
    r"|\d\d-\d\d \w{3}(?!\w)|\d+ (?:µm|m|a)\b"
)


@register.filter
def held(text: Any) -> SafeString:
    """A sentence, escaped, in which codes and dates stay whole."""
    said = HELD.sub(lambda found: f'<span class="num">{found.group()}</span>', escape(str(text or "")))
    return mark_safe(said)  # noqa: S308 - escaped above; only our own element is added


@register.simple_tag
def way(name: str, *args: Any) -> str:
    """The address of a page, or nothing while no page has that name: then its link is left out."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""
