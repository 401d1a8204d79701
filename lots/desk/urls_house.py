"""Addresses of what is done in the house: shelves, bins and blends, what is taken out of stock; and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import blending, removing, shelving
from lots.desk.blend_plan import BlendPlanView
from lots.desk.combining import CombiningView
from lots.desk.counting_place import PlaceCountView
from lots.desk.doors import ADMINISTRATOR, AUDITOR, HANDS, QUALITY
from lots.desk.recording import ActView

LEADS = frozenset({QUALITY, ADMINISTRATOR})
#: Roles by the name of the page.
HOUSE_ROLES = MappingProxyType({
    "shelving": HANDS | {AUDITOR}, "shelving-put": HANDS, "shelving-take": HANDS, "counting-place": HANDS,
    "blending": HANDS | {AUDITOR}, "blending-plan": HANDS, "blending-leaf": HANDS, "blending-powder": HANDS, "blending-bin": HANDS,
    "shelving-out": HANDS | {AUDITOR}, "shelving-out-spill": HANDS, "shelving-out-use": HANDS, "shelving-out-gift": HANDS,
    "shelving-out-destroy": LEADS, "shelving-out-lower": LEADS,
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


house_patterns = [
    path("shelves/", shelving.board, name="shelving"),
    *screen("shelves/put/", shelving.PutView),
    *screen("shelves/take/", shelving.TakeView),
    *screen("shelves/count/", PlaceCountView),
    path("shelves/out/", removing.board, name="shelving-out"),
    *screen("shelves/out/spilt/", removing.SpillView),
    *screen("shelves/out/used/", removing.OwnUseView),
    *screen("shelves/out/given/", removing.GiftView),
    *screen("shelves/out/destroyed/", removing.DestroyView),
    *screen("shelves/out/lowered/", removing.DowngradeView),
    path("blends/", blending.board, name="blending"),
    *screen("blends/plan/", BlendPlanView),
    *screen("blends/leaf/", blending.BlendView),
    *screen("blends/powder/", blending.PowderBlendView),
    *screen("blends/bin/", CombiningView),
]
