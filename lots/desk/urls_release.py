"""Addresses of tests and release, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import releasing, tasting, testing
from lots.desk.complaining import ComplaintView
from lots.desk.doors import ADMINISTRATOR, EVERYBODY, HANDS, QUALITY, RECALL_LEAD
from lots.desk.limit_files import LimitFileView
from lots.desk.recording import ActView
from lots.desk.sampling import SampleView

#: Who enters results and decides.
JUDGES = frozenset({QUALITY, ADMINISTRATOR})
#: Who may be the second person.
SECONDS = JUDGES | {RECALL_LEAD}

#: Roles by the name of the page.
RELEASE_ROLES = MappingProxyType({
    "release": EVERYBODY, "release-lot": EVERYBODY, "release-report": EVERYBODY, "release-cultivars": EVERYBODY, "release-sample": HANDS,
    "release-result": JUDGES, "release-decide": JUDGES, "release-confirm": SECONDS, "release-tasting": HANDS,
    "release-complaint": HANDS | {RECALL_LEAD}, "release-limits": JUDGES,
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


release_patterns = [
    path("release/", releasing.board, name="release"),
    *screen("release/sample/", SampleView),
    *screen("release/result/", testing.ResultView),
    path("release/report/<int:step>/", testing.report, name="release-report"),
    *screen("release/tasting/", tasting.TastingView),
    path("release/cultivars/", tasting.cultivars, name="release-cultivars"),
    *screen("release/complaint/", ComplaintView),
    *screen("release/limits/", LimitFileView),
    path("release/lot/<str:code>/", releasing.lot_page, name="release-lot"),
    *screen("release/lot/<str:code>/decide/", releasing.DecideView),
    *screen("release/decision/<int:step>/", releasing.ConfirmView),
]
