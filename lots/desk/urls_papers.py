"""Addresses of the papers, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path, re_path

from lots.desk import papers_out
from lots.desk.doors import ADMINISTRATOR, AUDITOR, EVERYBODY, HANDS, QUALITY, RECALL_LEAD

RECALLERS = frozenset({QUALITY, RECALL_LEAD, AUDITOR, ADMINISTRATOR})

#: Roles by the name of the page.
PAPER_ROLES = MappingProxyType({
    "dossier": EVERYBODY,
    "recall": RECALLERS,
    "recall-report": RECALLERS,
    "label-sheet": HANDS,
})

paper_patterns: list[URLPattern] = [
    path("papers/dossier/", papers_out.dossier_asked, name="dossier"),
    path("papers/dossier/<str:code>/", papers_out.dossier, name="dossier"),
    path("papers/recall/", papers_out.recall, name="recall"),
    re_path(r"^papers/recall/report\.(?P<ending>pdf|xlsx|csv)$", papers_out.recall_report, name="recall-report"),
    path("papers/labels/", papers_out.label_sheet, name="label-sheet"),
]
