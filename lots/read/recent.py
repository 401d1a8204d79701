"""What was just recorded at a stage, and what was weighed there last time."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from lots.models import Flow, Step
from lots.read.names import lot_name


@dataclass(frozen=True, slots=True)
class RecentLine:
    """One line of a step as it was written: side, role, mass, lot; moisture as a fraction or None; ``decimals_count`` is
    how many decimals of a kilogram its scale shows, None where it was not read off one."""

    kind: str
    role: str
    mass_mg: int
    lot: str
    code: str
    moisture_frac: float | None
    decimals_count: int | None = None


@dataclass(frozen=True, slots=True)
class Recent:
    """A step that was recorded: where, when, under which entry, its lines, whether it was corrected or taken back."""

    step: int
    entry: int
    stage: str
    part: str
    at: dt.datetime
    machine: str
    taken_back: bool
    corrected: bool
    lines: tuple[RecentLine, ...] = field(default=())

    def of(self, *kinds: str) -> tuple[RecentLine, ...]:
        """Return the lines of some kinds."""
        return tuple(line for line in self.lines if line.kind in kinds)

    def mass_mg(self, role: str) -> int | None:
        """Return what was weighed under a role, None if nothing was."""
        found = [line.mass_mg for line in self.lines if line.role == role and line.kind != Flow.Kind.IN]
        return sum(found) if found else None


def steps(stage: str = "", parts: Sequence[str] = (), **more: object) -> QuerySet[Step, Step]:
    """Return steps of a stage, the newest first, each with whether it was corrected or taken back."""
    after = Step.objects.filter(corrects=OuterRef("pk"))
    asked = Q(**more)
    if stage:
        asked &= Q(stage=stage)
    if parts:
        asked &= Q(part__in=parts)
    return (
        Step.objects.filter(asked)
        .annotate(gone=Exists(after.filter(part="reverse")), changed=Exists(after.filter(part="adjust")))
        .select_related("equipment")
        .order_by("-pk")
    )


def recent(stage: str = "", parts: Sequence[str] = (), most: int = 5, **more: object) -> list[Recent]:
    """Return the newest steps of a stage with their lines."""
    return with_lines(list(steps(stage, parts, **more)[:most]))


def with_lines(found: Sequence[Step]) -> list[Recent]:
    """Return steps with their own lines, in one query more."""
    lines: dict[int, list[RecentLine]] = defaultdict(list)
    for flow in Flow.objects.filter(step__in=[s.pk for s in found]).select_related("lot", "scale").order_by("pk"):
        lines[flow.step_id].append(recent_line(flow))
    return [recent_step(step, lines[step.pk]) for step in found]


def recent_step(step: Any, lines: Sequence[RecentLine]) -> Recent:
    """Return a step of `steps` with its lines."""
    return Recent(
        step.pk, step.entry_id, step.stage, step.part, step.happened_at, step.equipment.code if step.equipment else "",
        step.gone, step.changed, tuple(lines),
    )


def recent_line(flow: Flow) -> RecentLine:
    """Return one line of a step."""
    wet = None if flow.moisture_frac is None else float(flow.moisture_frac)
    name = lot_name(flow.lot) if flow.lot else None
    places = flow.scale.decimals_count if flow.scale and flow.reading_count else None
    return RecentLine(flow.kind, flow.role, flow.mass_mg, name.name if name else "", name.code if name else "", wet, places)


def last_time(stage: str, part: str, **more: object) -> Recent | None:
    """Return the newest step of a stage that stands, for the hints beside the fields."""
    return next(iter(with_lines(list(steps(stage, (part,), **more).filter(gone=False)[:1]))), None)
