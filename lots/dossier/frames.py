"""What every paper with a head and a foot is given: the maker's name in its language, and the state of the book."""

from __future__ import annotations

from typing import Any

from django.utils.html import escape
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from lots.dossier import words
from lots.dossier.pdf import Finisher, Head, paper
from lots.read.paper_heads import PaperHead


def framed(template: str, title: str, house: PaperHead, context: dict[str, Any], finisher: Finisher | None = None) -> bytes:
    """Return a paper with head and foot as PDF. Raises PaperFault."""
    own = {
        "house": house, "house_name": house_name(house), "title": title, "page_words": page_words(),
        "as_of": words.moment_with_offset(house.last_entry_at), "entry_count": words.count(house.entry_count),
    }
    return paper(template, {**context, **own}, Head(title, house.last_entry_at), finisher)


def page_words() -> SafeString:
    """Return "page 2 of 9" with places that the style sheet fills in."""
    marked = escape(_("page {page} of {pages}"))
    return SafeString(marked.replace("{page}", '<i class="n"></i>').replace("{pages}", '<i class="m"></i>'))


def house_name(house: PaperHead) -> str:
    """Return the maker's name in the paper's language."""
    return (words.language() == "ja" and house.name_ja) or house.name
