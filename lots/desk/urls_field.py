"""Addresses of field work and of leaf that comes in bag by bag, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk.doors import MILL_HANDS
from lots.desk.harvest import BagsView
from lots.desk.recording import ActView

#: Roles by the name of the page.
FIELD_ROLES = MappingProxyType({"harvest-bags": MILL_HANDS})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


field_patterns = [
    *screen("leaf-in/bags/", BagsView),
]
