"""Addresses of what is done about packs beside their filling, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import keeping, label_words, packaging, packing_run
from lots.desk.checkweighing import CheckWeighView
from lots.desk.doors import ADMINISTRATOR, AUDITOR, EVERYBODY, HANDS, QUALITY
from lots.desk.labelling import LabelsView, ReprintView
from lots.desk.recording import ActView

#: Roles by the name of the page.
PACKS_ROLES = MappingProxyType({
    "packing-weigh": HANDS, "packing-labels": HANDS, "packing-reprint": HANDS, "packing-run": EVERYBODY,
    "packing-label-words": EVERYBODY, "packing-packaging": EVERYBODY, "packing-samples": HANDS | {AUDITOR}, "packing-samples-place": HANDS,
    "packing-samples-round": HANDS, "packing-samples-dispose": frozenset({QUALITY, ADMINISTRATOR}),
})


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


packs_patterns = [
    *screen("tins-and-bags/check-weighing/", CheckWeighView),
    *screen("tins-and-bags/labels/", LabelsView),
    *screen("tins-and-bags/labels/again/", ReprintView),
    path("tins-and-bags/label-words/", label_words.label_words_checked, name="packing-label-words"),
    path("tins-and-bags/kept-samples/", keeping.board, name="packing-samples"),
    *screen("tins-and-bags/kept-samples/place/", keeping.PlaceView),
    *screen("tins-and-bags/kept-samples/round/", keeping.RoundView),
    *screen("tins-and-bags/kept-samples/disposal/", keeping.DisposalView),
    path("tins-and-bags/packaging/", packaging.packaging_left, name="packing-packaging"),
    path("tins-and-bags/run/<int:step>/", packing_run.run, name="packing-run"),
]
