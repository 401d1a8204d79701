"""Addresses of field work and of leaf that comes in bag by bag, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import plot, pluck
from lots.desk.doors import AUDITOR, MILL_HANDS
from lots.desk.harvest import BagsView
from lots.desk.recording import ActView
from lots.desk.treatment import NoticeView
from lots.desk.trimming import TrimView

#: Roles by the name of the page.
FIELD_ROLES = MappingProxyType({
    "harvest-bags": MILL_HANDS, "field-trim": MILL_HANDS, "field-notice": MILL_HANDS,
    "field-pluck": MILL_HANDS | {AUDITOR}, "field-plot": MILL_HANDS | {AUDITOR},
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


field_patterns = [
    *screen("leaf-in/bags/", BagsView),
    path("field/pluck/", pluck.pluck, name="field-pluck"),
    path("field/plot/<str:code>/", plot.plot, name="field-plot"),
    *screen("field/trim/", TrimView),
    *screen("field/notice/", NoticeView),
]
