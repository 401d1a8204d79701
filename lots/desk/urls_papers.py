"""Addresses of the papers, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern

from lots.desk.doors import ADMINISTRATOR, AUDITOR, EVERYBODY, HANDS, QUALITY, RECALL_LEAD

RECALLERS = frozenset({QUALITY, RECALL_LEAD, AUDITOR, ADMINISTRATOR})

#: Roles by the name of the page.
PAPER_ROLES = MappingProxyType({
    "papers": EVERYBODY,
    "dossier": EVERYBODY,
    "recall": RECALLERS,
    "recall-report": RECALLERS,
    "label-sheet": HANDS,
})

paper_patterns: list[URLPattern] = []
