"""The life of one lot, entry by entry: what came in, what left, what stood in the book afterwards, what was corrected."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from lots.models import Flow, HarvestFlush, JournalEntry, Lot, MillingRun, Staff, StockCount

#: The step that a line belongs to, or is corrected at, its kind and its role.
Place = tuple[int | None, str, str]


@dataclass(frozen=True, slots=True)
class LifeLine:
    """One line of a lot's life: weighings of one kind at one stage that follow each other are one line.

    ``in_mg`` came into the lot, ``out_mg`` left it, ``after_mg`` stood in the book afterwards. ``struck`` tells that a
    correction replaced the figure; on the line of a correction ``in_mg`` or ``out_mg`` is the figure that now stands.
    """

    at: dt.datetime
    stage: str
    part: str
    role: str
    job: str
    machine: str
    count: int
    in_mg: int | None
    out_mg: int | None
    difference_mg: int | None
    after_mg: int
    struck: bool
    first_entry: int
    last_entry: int
    step: int
    corrects_entry: int | None
    reason: str
    questioned: str
    badge: str
    counted_mg: int | None = None
    bag_count: int = 0


def life_of(lot: Lot) -> tuple[LifeLine, ...]:
    """Return the life of a lot line by line, with what stood in the book after each."""
    rows = Flow.objects.filter(lot=lot).select_related("step__equipment", "step__corrects").order_by("pk")
    flows = [f for f in rows if f.role != "counted with" or f.mass_mg]
    jobs = dict(MillingRun.objects.filter(pk__in={f.step.run_id for f in flows}).values_list("pk", "job"))
    corrected = {(f.step.corrects_id, f.kind, f.role) for f in flows if f.step.corrects_id}
    lines = [line_of(group, jobs, corrected) for group in grouped(flows, jobs, corrected)]
    return with_counts(with_badges(with_water(with_stock(lines, flows))))


def grouped(flows: Sequence[Flow], jobs: dict[int, str], corrected: set[Place]) -> list[list[Flow]]:
    """Return weighings that follow each other at one stage, in one job and of one kind, together."""

    def alike(flow: Flow) -> tuple[object, ...]:
        alone = flow.step.corrects_id or (flow.step_id, flow.kind, flow.role) in corrected or flow.kind != Flow.Kind.IN
        return (flow.step.stage, jobs.get(flow.step.run_id, ""), flow.kind, flow.role, flow.pk if alone else 0)

    return [list(group) for _, group in groupby(flows, alike)]


def line_of(group: Sequence[Flow], jobs: dict[int, str], corrected: set[Place]) -> LifeLine:
    """Return one line of the life."""
    first, last = group[0], group[-1]
    mass, step = sum(f.mass_mg for f in group), first.step
    kind = Flow.Kind(first.kind)
    return LifeLine(
        at=step.happened_at, stage=step.stage, part=step.part, role=first.role, job=jobs.get(step.run_id, ""),
        machine=step.equipment.code if step.equipment else "", count=len(group),
        in_mg=mass if kind is Flow.Kind.OUT else None, out_mg=mass if kind is Flow.Kind.IN else None,
        difference_mg=mass if kind is Flow.Kind.DIFFERENCE else None, after_mg=0,
        struck=(first.step_id, first.kind, first.role) in corrected, first_entry=step.entry_id,
        last_entry=last.step.entry_id, step=first.step_id,
        corrects_entry=step.corrects.entry_id if step.corrects else None, reason=step.reason, questioned=step.questioned,
        badge="",
    )


def with_stock(lines: Sequence[LifeLine], flows: Sequence[Flow]) -> list[LifeLine]:
    """Return the lines with what stood in the book after each; a correction shows the figure that now stands."""
    stood, found = 0, []
    standing: dict[Place, int] = {}
    for flow in flows:
        standing[place_of(flow)] = standing.get(place_of(flow), 0) + flow.mass_mg
    of_step = {f.step_id: standing[place_of(f)] for f in flows}
    for line in lines:
        stood += (line.in_mg or 0) - (line.out_mg or 0) + (line.difference_mg or 0)
        now = replace(line, after_mg=stood)
        if line.stage == "correcting":
            mass = of_step[line.step]
            now = replace(now, in_mg=None if line.in_mg is None else mass, out_mg=None if line.out_mg is None else mass)
        found.append(now)
    return only_last_correction(found)


def place_of(flow: Flow) -> Place:
    """Return the line that a flow is, or that it corrects."""
    return (flow.step.corrects_id or flow.step_id, flow.kind, flow.role)


def only_last_correction(lines: Sequence[LifeLine]) -> list[LifeLine]:
    """Strike the figure of a correction that a later one replaced."""
    last: dict[tuple[int | None, str], int] = {}
    for place, line in enumerate(lines):
        if line.stage == "correcting":
            last[line.corrects_entry, line.role] = place
    return [
        replace(line, struck=True) if line.stage == "correcting" and last[line.corrects_entry, line.role] != place else line
        for place, line in enumerate(lines)
    ]


def with_badges(lines: Sequence[LifeLine]) -> list[LifeLine]:
    """Return the lines with the badge of who wrote each entry."""
    badges = badges_of(line.first_entry for line in lines)
    return [replace(line, badge=badges.get(line.first_entry, "")) for line in lines]


def badges_of(entries: Iterable[int]) -> dict[int, str]:
    """Return the badge of who wrote each entry, read from the entry itself."""
    bodies = JournalEntry.objects.filter(pk__in=set(entries)).values_list("seq", "body")
    by = {seq: json.loads(bytes(body))["by"]["$h"] for seq, body in bodies}
    staff = dict(Staff.objects.filter(name__in=set(by.values())).values_list("name", "code"))
    return {seq: staff[name] for seq, name in by.items() if name in staff}


def with_water(lines: list[LifeLine]) -> list[LifeLine]:
    """Return the lines with the reason for which water was deducted."""
    steps = [line.step for line in lines if line.role == "deducted_water"]
    why = dict(HarvestFlush.objects.filter(pk__in=steps).values_list("pk", "water_reason")) if steps else {}
    return [replace(line, reason=why.get(line.step, line.reason)) if line.role == "deducted_water" else line for line in lines]


def with_counts(lines: Sequence[LifeLine]) -> tuple[LifeLine, ...]:
    """Return the lines with what was counted on the shelf, and how many bags were weighed with it."""
    steps = [line.step for line in lines if line.stage == "counting"]
    counted = dict(StockCount.objects.filter(pk__in=steps).values_list("pk", "counted_mg"))
    bags: dict[int, int] = {}
    for step in Flow.objects.filter(step__in=steps, role="counted with").values_list("step_id", flat=True):
        bags[step] = bags.get(step, 0) + 1
    return tuple(
        replace(line, counted_mg=counted.get(line.step), bag_count=bags.get(line.step, 0)) for line in lines
    )
