"""What was done with a lot's leaf, stage by stage: when, on which machine, by which badge, and when it was cleaned before."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from lots.models import CleanDown, Equipment, Refining, SievePass, Step
from lots.read.balances import not_taken_back
from lots.read.lot_life import badges_of

#: Stages that are told as steps of the process; counts and deliveries have chapters of their own.
TOLD = ("harvest", "drying", "refining", "milling", "sieving", "packing", "combining", "blending", "hiring")


@dataclass(frozen=True, slots=True)
class CleanBefore:
    """The last clean-down of a machine before it was used: when, whether the machine was opened, the result, the entry."""

    at: dt.datetime
    opened: bool
    result: str
    entry: int


@dataclass(frozen=True, slots=True)
class WayStep:
    """What happened at one stage on one machine: from when to when, in how many steps, and by which badges. ``machine`` is
    empty where none was named; ``cleaned`` None: no clean-down of it is in the book before. ``note`` is the stage's own."""

    stage: str
    machine: str
    machine_name: str
    first_at: dt.datetime
    last_at: dt.datetime
    step_count: int
    badges: tuple[str, ...]
    first_entry: int
    note_um: int | None
    pass_count: int | None
    cleaned: CleanBefore | None


def way_of(back_steps: Collection[int]) -> tuple[WayStep, ...]:
    """Return the process steps of a lot in order of stage and machine; loads and ends of its milling runs belong to them."""
    rows = list(all_steps(back_steps))
    groups: dict[tuple[int, str], list[Step]] = defaultdict(list)
    for row in rows:
        groups[TOLD.index(row.stage), row.equipment.code if row.equipment else ""].append(row)
    cleans = clean_downs({machine for _, machine in groups if machine})
    badges = badges_of(row.entry_id for row in rows)
    return tuple(way_step(steps, cleans.get(key[1], []), badges) for key, steps in sorted(groups.items(), key=lambda item: item[0]))


def all_steps(back_steps: Collection[int]) -> Iterable[Step]:
    """Return the steps of a lot's way, with the loads and ends of the runs among them."""
    mine = Step.objects.filter(pk__in=list(back_steps), stage__in=TOLD)
    runs = {row.run_id for row in mine if row.stage == "milling"}
    more = Step.objects.filter(not_taken_back(), stage="milling", continues__in=runs)
    roots = Step.objects.filter(pk__in=runs)
    return (mine | more | roots).select_related("equipment").order_by("pk")


def way_step(steps: list[Step], cleans: list[tuple[int, CleanBefore]], badges: Mapping[int, str]) -> WayStep:
    """Return the steps of one stage on one machine as one line."""
    first, last = steps[0], steps[-1]
    place = bisect_left([step for step, _ in cleans], first.pk)
    machine = first.equipment
    return WayStep(
        stage=first.stage, machine=machine.code if machine else "", machine_name=machine_name(machine), first_at=first.happened_at,
        last_at=last.happened_at, step_count=len(steps), badges=tuple(sorted({badges.get(s.entry_id, "") for s in steps} - {""})),
        first_entry=first.entry_id, note_um=aperture_um(first), pass_count=passes(first), cleaned=cleans[place - 1][1] if place else None,
    )


def machine_name(machine: Equipment | None) -> str:
    """Return a machine's name."""
    return machine.name if machine else ""


def aperture_um(step: Step) -> int | None:
    """Return the width of the screen's openings of a sieve pass."""
    if step.stage != "sieving":
        return None
    return SievePass.objects.filter(pk=step.pk).values_list("screen__aperture_um", flat=True).first()


def passes(step: Step) -> int | None:
    """Return how often leaf went through cutter and winnower, where it was written down."""
    if step.stage != "refining":
        return None
    return Refining.objects.filter(pk=step.pk).values_list("pass_count", flat=True).first()


def clean_downs(machines: Collection[str]) -> dict[str, list[tuple[int, CleanBefore]]]:
    """Return every clean-down of machines that stands, in order of record, as (step, what it was)."""
    stand = Step.objects.filter(not_taken_back(), stage="cleaning", equipment__code__in=list(machines)).values("pk")
    rows = CleanDown.objects.filter(step__in=stand).select_related("step__equipment").order_by("pk")
    found: dict[str, list[tuple[int, CleanBefore]]] = defaultdict(list)
    for row in rows:
        step = row.step
        if step.equipment:
            found[step.equipment.code].append((step.pk, CleanBefore(step.happened_at, row.opened, row.result, step.entry_id)))
    return found
