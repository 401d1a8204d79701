"""Addresses of the checks of the house, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import path

from lots.desk import checks, scale_check
from lots.desk.climate import ClimateView
from lots.desk.detecting import FindView, PieceView
from lots.desk.doors import ADMINISTRATOR, AUDITOR, HANDS, QUALITY
from lots.desk.grit import GritView
from lots.desk.scale_check import ClearView, ScaleCheckView
from lots.desk.urls_packs import screen

LEADS = frozenset({QUALITY, ADMINISTRATOR})
#: Roles by the name of the page.
CHECKS_ROLES = MappingProxyType({
    "checks": HANDS | {AUDITOR}, "checks-piece": HANDS, "checks-find": HANDS, "checks-scale": HANDS, "checks-doubt": HANDS | {AUDITOR},
    "checks-clear": LEADS, "checks-climate": HANDS, "checks-grit": LEADS,
})
checks_patterns = [
    path("checks/", checks.board, name="checks"),
    *screen("checks/test-piece/", PieceView),
    *screen("checks/find/", FindView),
    *screen("checks/scale/", ScaleCheckView),
    path("checks/scale/<int:step>/", scale_check.doubt, name="checks-doubt"),
    path("checks/scale/<int:step>/file/", scale_check.doubt_file, name="checks-doubt-file"),
    *screen("checks/scale/<int:step>/clear/", ClearView),
    *screen("checks/climate/", ClimateView),
    *screen("checks/grit/", GritView),
]
