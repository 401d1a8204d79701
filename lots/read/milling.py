"""Stone pairs and their runs: what is open, what is in the mill, hours since dressing."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, F, OuterRef, Q, Sum

from lots.models import Flow, MillingClose, MillingRun, MillingTub, Step, StonePair


def with_end() -> Exists:
    """Return whether a run was closed (and its close not taken back)."""
    taken_back = Step.objects.filter(corrects=OuterRef("pk"), part="reverse")
    return Exists(
        MillingClose.objects.filter(step__continues=OuterRef("pk")).exclude(Exists(taken_back))
    )


def runs() -> "list[MillingRun]":
    """Return every run that stands, oldest first."""
    return list(standing_runs().order_by("pk"))


def standing_runs():  # type: ignore[no-untyped-def]  # a QuerySet: its type has no public name without stubs at run time
    """Return the runs that were not taken back, each with ``closed``."""
    taken_back = Step.objects.filter(corrects=OuterRef("pk"), part="reverse")
    return (
        MillingRun.objects.annotate(closed=with_end(), gone=Exists(taken_back))
        .filter(gone=False)
        .select_related("pair__equipment", "step")
    )


def open_run(pair: str) -> MillingRun | None:
    """Return the run that is open on a pair, or nothing when it stands idle."""
    return standing_runs().filter(pair__code=pair, closed=False).order_by("-pk").first()


def run_flows(run_ids: Iterable[int]) -> list[Flow]:
    """Return all lines of runs with their corrections, in order."""
    ids = list(run_ids)
    mine = Q(step__in=ids) | Q(step__continues__in=ids)
    corrections = Q(step__corrects__in=ids) | Q(step__corrects__continues__in=ids)
    return list(Flow.objects.filter(mine | corrections).select_related("scale", "lot", "step").order_by("pk"))


def dressed_h(pair: StonePair) -> Decimal:
    """Return how many hours a pair has run since it was dressed: its version's own start plus every tub since."""
    ground = MillingTub.objects.filter(step__continues__millingrun__pair=pair).aggregate(total=Sum(F("ground_h")))["total"]
    return pair.dressed_h + (ground or Decimal(0))
