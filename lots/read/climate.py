"""The climate of rooms: the newest reading of each, and what lay outside its band in some hours."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import QuerySet

from lots.models import ClimateBand, ClimateRow, Step
from lots.read.balances import not_taken_back
from lots.read.registers import in_force
from lots.read.sourcing import steps_of_runs


@dataclass(frozen=True, slots=True)
class RoomNow:
    """A room with its band and its newest reading."""

    band: ClimateBand
    reading: ClimateRow | None


@dataclass(frozen=True, slots=True)
class Outside:
    """Readings outside the band of a room: how many, from when to when, and the extremes."""

    room: str
    count: int
    first_at: dt.datetime
    last_at: dt.datetime
    least_c: float
    most_c: float
    least_rh_frac: float
    most_rh_frac: float


def standing_rows() -> QuerySet[ClimateRow, ClimateRow]:
    """Return the readings that were not taken back."""
    rows = ClimateRow.objects.filter(step__in=Step.objects.filter(not_taken_back(), stage="climate").values("pk"))
    return rows.select_related("step__climatereading__room")


def rooms_now() -> list[RoomNow]:
    """Return every room with its newest reading."""
    found = []
    for band in in_force(ClimateBand):
        rows = standing_rows().filter(step__climatereading__room__code=band.code)
        found.append(RoomNow(band, rows.order_by("-read_at", "-pk").first()))
    return found


def outside_between(since: dt.datetime, until: dt.datetime, *, stones_only: bool = False) -> list[Outside]:
    """Return what lay outside the bands between two moments, by room."""
    rows = standing_rows().filter(outside=True, read_at__gte=since, read_at__lte=until)
    if stones_only:
        rows = rows.filter(step__climatereading__room__has_stones=True)
    rooms: dict[str, list[ClimateRow]] = {}
    for row in rows.order_by("read_at", "pk"):
        rooms.setdefault(row.step.climatereading.room.name, []).append(row)
    return [summed(room, found) for room, found in rooms.items()]


def summed(room: str, rows: list[ClimateRow]) -> Outside:
    """Return the readings of one room in one record."""
    warm, damp = [float(r.temperature_c) for r in rows], [float(r.humidity_frac) for r in rows]
    return Outside(room, len(rows), rows[0].read_at, rows[-1].read_at, min(warm), max(warm), min(damp), max(damp))


def outside_of_run(run: int) -> list[Outside]:
    """Return what lay outside the band of the room of the stones while a run ground."""
    times = list(Step.objects.filter(pk__in=list(steps_of_runs([run]))).values_list("happened_at", flat=True))
    return outside_between(min(times), max(times), stones_only=True) if times else []
