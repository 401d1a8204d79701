"""Who may open which page: one row for every url name of the desk. A page without a row opens for nobody.

The live part of a screen (``milling-tub-live``) and a list as a file (``lots-file``) are the page itself once more: they
share its row.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.urls import URLPattern, URLResolver
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.doors import (
    ADMINISTRATOR,
    AUDITOR,
    CLERK,
    EVERYBODY,
    HANDS,
    MILL_HANDS,
    PACKING,
    QUALITY,
    RECALL_LEAD,
    ROLES,
    roles_of,
)
from lots.desk.ending import ended_at, ended_sentence

View = Callable[..., HttpResponseBase]
#: Open without signing in.
ANYBODY = frozenset({"anybody"})
SENDERS = HANDS | {RECALL_LEAD}
STOPPERS = HANDS | {RECALL_LEAD}
RELEASERS = frozenset({QUALITY, RECALL_LEAD, ADMINISTRATOR})
KEEPERS = frozenset({QUALITY, AUDITOR, ADMINISTRATOR})
SHARED = ("-live", "-file")

PAGES: dict[str, frozenset[str]] = {
    # the door of the house
    "sign-in": ANYBODY, "sign-out": ANYBODY, "lamp": ANYBODY,
    # the field and the leaf
    "field": MILL_HANDS, "field-shading": MILL_HANDS, "field-treatment": MILL_HANDS,
    "harvest": MILL_HANDS, "drying": MILL_HANDS, "refining": MILL_HANDS,
    # the stones
    "milling": HANDS, "milling-load": HANDS, "milling-tub": HANDS, "milling-close": HANDS, "milling-dressing": HANDS,
    "cleaning": HANDS,
    # powder and packs
    "sieving": HANDS, "packing": HANDS, "dispatch": SENDERS, "counting": HANDS,
    # words that stop
    "holding": STOPPERS | {AUDITOR}, "holding-hold": STOPPERS, "holding-recall": RELEASERS, "holding-release": RELEASERS,
    # the book itself
    "registers": KEEPERS, "registers-list": KEEPERS, "registers-enter": frozenset({QUALITY, ADMINISTRATOR}),
    "corrections": EVERYBODY, "corrections-adjust": HANDS, "corrections-reverse": HANDS,
    "read-symbol": EVERYBODY,
}

ROLE_WORDS: MappingProxyType[str, Promise] = MappingProxyType({
    CLERK: _("the desk clerk"), PACKING: _("the packing hand"), QUALITY: _("the quality lead"),
    RECALL_LEAD: _("the recall lead"), AUDITOR: _("the auditor"), ADMINISTRATOR: _("the administrator"),
})


def admit(*tables: Mapping[str, frozenset[str]]) -> None:
    """Take in the rows that stand beside the addresses of the reading pages and the papers."""
    for table in tables:
        PAGES.update(table)


def row_of(url_name: str) -> frozenset[str] | None:
    """Return who may open a page, None where no row says so."""
    for tail in SHARED:
        if url_name not in PAGES and url_name.endswith(tail):
            return PAGES.get(url_name.removesuffix(tail))
    return PAGES.get(url_name)


def may(user: Any, url_name: str) -> bool:
    """Tell whether an account may open a page."""
    row = row_of(url_name) or frozenset()
    return row is ANYBODY or bool(row & roles_of(user))


def who_may(url_name: str) -> str:
    """Return in words who opens a page: "the quality lead, the administrator"."""
    row = row_of(url_name) or frozenset()
    return gettext(", ").join(str(ROLE_WORDS[role]) for role in ROLES if role in row)


def guard(url_name: str, view: View) -> View:
    """Return a view that opens for the roles of its row only; others are sent to sign in, or told who may."""

    @functools.wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if may(request.user, url_name):
            return view(request, *args, **kwargs)
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        sentence = sentence_for(request, url_name)
        if ended_at(request.user):
            logout(request)
        raise PermissionDenied(sentence)

    return guarded


def sentence_for(request: HttpRequest, url_name: str) -> str:
    """Return why a page does not open for a person."""
    over = ended_at(request.user)
    if over:
        return ended_sentence(request.user.get_username(), over)
    if not roles_of(request.user):
        return gettext("%(name)s has no role at this desk yet. The administrator can give one.") % {
            "name": request.user.get_username(),
        }
    return gettext("This page is for: %(who)s.") % {"who": who_may(url_name) or gettext("nobody")}


def guarded(patterns: Sequence[URLPattern | URLResolver]) -> list[URLPattern | URLResolver]:
    """Put a guard before every view of a list of addresses."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            guarded(pattern.url_patterns)
        else:
            pattern.callback = guard(pattern.name or "", pattern.callback)
    return list(patterns)
