"""Stone pairs and their runs: what is open, what is in the mill, hours since dressing."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db import models
from django.db.models import Exists, OuterRef, Q

from lots.models import Equipment, Flow, MillingClose, MillingRun, Step, StonePair
from lots.read.rows import linked, values

NOT_TAKEN_BACK = "NOT EXISTS (SELECT 1 FROM step b WHERE b.corrects_id = {step} AND b.part = 'reverse')"
NEWEST = f"""
SELECT MAX((
  SELECT r.step_id FROM milling_run r WHERE r.pair_id = p.id AND {NOT_TAKEN_BACK.format(step="r.step_id")} ORDER BY r.step_id DESC LIMIT 1
)) FROM stone_pair p WHERE p.code = %s
"""
OPEN_RUN = f"""
JOIN step ON step.id = milling_run.step_id JOIN stone_pair ON stone_pair.id = milling_run.pair_id
JOIN equipment ON equipment.id = stone_pair.equipment_id
WHERE milling_run.step_id = ({NEWEST}) AND NOT EXISTS (
  SELECT 1 FROM milling_close c JOIN step s ON s.id = c.step_id
  WHERE s.continues_id = milling_run.step_id AND {NOT_TAKEN_BACK.format(step="s.id")}
)
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
    found = linked((MillingRun, Step, StonePair, Equipment), OPEN_RUN, [pair])
    if found is None:
        return None
    run, run.step, run.pair, run.pair.equipment = found[0], *found[1:]
    return run  # type: ignore[no-any-return]


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
