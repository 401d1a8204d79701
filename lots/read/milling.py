"""Stone pairs and their runs: what is open, what is in the mill, hours since dressing."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db import models
from django.db.models import Exists, OuterRef, Q

from lots.models import Equipment, Flow, MillingClose, MillingRun, Step, StonePair
from lots.read.rows import row, values

NOT_TAKEN_BACK = "NOT EXISTS (SELECT 1 FROM step b WHERE b.corrects_id = {step} AND b.part = 'reverse')"
NEWEST = "SELECT MAX((SELECT MAX(r.step_id) FROM milling_run r WHERE r.pair_id = p.id)) FROM stone_pair p WHERE p.code = %s"
IS_TAKEN_BACK = "SELECT 1 FROM step b WHERE b.corrects_id = %s AND b.part = 'reverse' LIMIT 1"
NEWEST_STANDING = f"""
JOIN stone_pair p ON p.id = milling_run.pair_id
WHERE p.code = %s AND {NOT_TAKEN_BACK.format(step="milling_run.step_id")} ORDER BY milling_run.step_id DESC LIMIT 1
"""
CLOSED = f"""
SELECT 1 FROM milling_close c JOIN step s ON s.id = c.step_id
WHERE s.continues_id = %s AND {NOT_TAKEN_BACK.format(step="s.id")} LIMIT 1
"""
GROUND = f"""
SELECT SUM(t.ground_h) FROM milling_run r JOIN step s ON s.continues_id = r.step_id JOIN milling_tub t ON t.step_id = s.id
WHERE r.pair_id = %s AND {NOT_TAKEN_BACK.format(step="s.id")}
"""


def with_end() -> Exists:
    """Return whether a run was closed (and its close not taken back)."""
    taken_back = Step.objects.filter(corrects=OuterRef("pk"), part="reverse")
    return Exists(
        MillingClose.objects.filter(step__continues=OuterRef("pk")).exclude(Exists(taken_back))
    )


def standing_runs() -> models.QuerySet[MillingRun]:
    """Return the runs that were not taken back, each with ``closed``."""
    taken_back = Step.objects.filter(corrects=OuterRef("pk"), part="reverse")
    return (
        MillingRun.objects.annotate(closed=with_end(), gone=Exists(taken_back))
        .filter(gone=False)
        .select_related("pair__equipment", "step")
    )


def open_run(pair: str) -> MillingRun | None:
    """Return the run that is open on a pair, or nothing when it stands idle: only its newest run can be open."""
    run = newest_run(pair)
    if run is None or values(CLOSED, [run.pk]):
        return None
    run.step = row(Step, "WHERE id = %s", [run.pk])  # type: ignore[assignment]
    run.pair = row(StonePair, "WHERE id = %s", [run.pair_id])  # type: ignore[assignment]
    run.pair.equipment = row(Equipment, "WHERE id = %s", [run.pair.equipment_id])  # type: ignore[assignment]
    return run


def newest_run(pair: str) -> MillingRun | None:
    """Return the newest run of a pair that stands: two index look-ups, but when the newest of all was taken back."""
    newest = values(NEWEST, [pair])[0][0]
    if newest is None:
        return None
    if values(IS_TAKEN_BACK, [newest]):
        return row(MillingRun, NEWEST_STANDING, [pair])
    return row(MillingRun, "WHERE step_id = %s", [newest])


def run_flows(run_ids: Iterable[int]) -> list[Flow]:
    """Return all lines of runs with their corrections, in order."""
    ids = list(run_ids)
    mine = Q(step__in=ids) | Q(step__continues__in=ids)
    corrections = Q(step__corrects__in=ids) | Q(step__corrects__continues__in=ids)
    return list(Flow.objects.filter(mine | corrections).select_related("scale", "lot", "step").order_by("pk"))


def dressed_h(pair: StonePair) -> Decimal:
    """Return how many hours a pair has run since it was dressed: its version's own start plus every tub since."""
    ground = values(GROUND, [pair.pk])[0][0]
    return pair.dressed_h + Decimal(str(ground or 0)).quantize(Decimal("0.01"))
