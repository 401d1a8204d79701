"""Addresses of what is done about packs beside their filling, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import packing_run
from lots.desk.checkweighing import CheckWeighView
from lots.desk.doors import EVERYBODY, HANDS
from lots.desk.recording import ActView

#: Roles by the name of the page.
PACKS_ROLES = MappingProxyType({"packing-weigh": HANDS, "packing-run": EVERYBODY})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


packs_patterns = [
    *screen("tins-and-bags/check-weighing/", CheckWeighView),
    path("tins-and-bags/run/<int:step>/", packing_run.run, name="packing-run"),
]
