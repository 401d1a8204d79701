"""Every event of a period as rows: one for each lot and event, with what only its stage knows beside it."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import F
from django.db.models.functions import Coalesce

from lots.models import DETAILS, Detail, Flow, Hold, JournalEntry, PackMove, Register, Staff, Step
from lots.models.fields import SealedField
from lots.read.names import LotName, lot_name
from lots.read.period import Span

Value = str | int | dt.date | dt.datetime | None


@dataclass(frozen=True, slots=True)
class EventRow:
    """One lot in one event: entry and step, what was done when, written when and by which badge; the line as it was read.

    ``kind`` is empty where the event moved no leaf. ``counts_at`` is when it counts: of a correction, when the step happened
    that it corrects. ``more`` is what only its stage knows, by name.
    """

    entry: int
    step: int
    stage: str
    part: str
    happened_at: dt.datetime
    counts_at: dt.datetime
    recorded_at: dt.datetime
    badge: str
    machine: str
    corrects_step: int | None
    reason: str
    lot: LotName | None
    kind: str = ""
    role: str = ""
    mass_mg: int | None = None
    moisture_frac: float | None = None
    moisture_how: str = ""
    scale: str = ""
    more: tuple[tuple[str, Value], ...] = ()


def events(span: Span) -> list[EventRow]:
    """Return every event that counts in a period, in order of record."""
    steps = steps_of(span)
    ids = [step.pk for step in steps]
    lines = lines_of(ids)
    more = details(ids)
    badges = badges_of({step.entry_id for step in steps})
    found = []
    for step in steps:
        common = common_of(step, badges.get(step.entry_id, ""), tuple(more.get(step.pk, {}).items()))
        found += [EventRow(**common, **line_of(line)) for line in lines[step.pk]] or [EventRow(**common, lot=None)]
    return found


def steps_of(span: Span) -> list[Any]:
    """Return the steps that count in a period."""
    rows = Step.objects.annotate(counts_at=Coalesce("corrects__happened_at", "happened_at"))
    rows = rows.filter(counts_at__gte=span.first_at, counts_at__lt=span.after_at)
    return list(rows.select_related("equipment", "entry", "corrects").defer("entry__body").order_by("pk"))


def common_of(step: Any, badge: str, more: tuple[tuple[str, Value], ...]) -> dict[str, Any]:
    """Return what every row of a step says. A correction stands among the events of the stage that it corrects."""
    first = step.corrects or step
    return {
        "entry": step.entry_id, "step": step.pk, "stage": first.stage, "part": step.part, "happened_at": step.happened_at,
        "counts_at": step.counts_at, "recorded_at": step.entry.recorded_at, "badge": badge,
        "machine": step.equipment.code if step.equipment else "", "corrects_step": step.corrects_id, "reason": step.reason, "more": more,
    }


def lines_of(ids: Iterable[int]) -> dict[int, list[Flow]]:
    """Return the lines of steps."""
    found: dict[int, list[Flow]] = defaultdict(list)
    for line in Flow.objects.filter(step__in=list(ids)).select_related("lot", "scale").order_by("pk"):
        found[line.step_id].append(line)
    return found


def line_of(line: Flow) -> dict[str, Any]:
    """Return one line as a row says it."""
    return {
        "lot": lot_name(line.lot) if line.lot else None, "kind": line.kind, "role": line.role, "mass_mg": line.mass_mg,
        "moisture_frac": None if line.moisture_frac is None else float(line.moisture_frac), "moisture_how": line.moisture_how,
        "scale": line.scale.code if line.scale else "",
    }


def details(ids: Sequence[int]) -> dict[int, dict[str, Value]]:
    """Return what the thin tables say of steps: one statement a table, sealed values left out."""
    found: dict[int, dict[str, Value]] = defaultdict(dict)
    for model in DETAILS:
        fields = [f for f in model._meta.concrete_fields if f.name != "step" and not isinstance(f, SealedField)]
        named = [f.name for f in fields if f.is_relation]
        rows: Any = model._base_manager.filter(step__in=ids)
        for row in rows.select_related(*named) if named else rows:
            found[row.pk] |= {f.name: told(row, f) for f in fields}
    moves = PackMove.objects.filter(step__in=ids).select_related("unit__lot").order_by("pk")
    for move in moves:
        words = f"{move.unit.lot} {move.fate} {move.pack_count} ({move.first_no or ''}-{move.last_no or ''})"
        kept = found[move.step_id].get("packs")
        found[move.step_id]["packs"] = f"{kept}; {words}" if kept else words
    return found


def told(row: Detail, field: Any) -> Value:
    """Return one field of a thin row: what it points at by code, a figure as text that loses nothing."""
    value = getattr(row, field.name)
    if isinstance(value, Register):
        return value.code
    if value is None or isinstance(value, (int, str, dt.date)):
        return int(value) if isinstance(value, bool) else value
    return str(value)


def badges_of(entries: Iterable[int]) -> dict[int, str]:
    """Return by which badge each entry was written."""
    names = {name: code for code, name in Staff.objects.order_by("version").values_list("code", "name") if name}
    bodies = JournalEntry.objects.filter(pk__in=list(entries)).values_list("pk", "body")
    return {seq: names.get(json.loads(bytes(body))["by"]["$h"], "") for seq, body in bodies}


@dataclass(frozen=True, slots=True)
class HoldRow:
    """A hold, a recall or a release."""

    entry: int
    kind: str
    lot: LotName
    happened_at: dt.datetime
    recorded_at: dt.datetime
    reason: str


def holds(span: Span) -> list[HoldRow]:
    """Return the holds, recalls and releases of a period."""
    rows = Hold.objects.filter(happened_at__gte=span.first_at, happened_at__lt=span.after_at).select_related("lot")
    rows = rows.annotate(written_at=F("entry__recorded_at")).order_by("pk")
    return [HoldRow(h.entry_id, h.kind, lot_name(h.lot), h.happened_at, h.written_at, h.reason) for h in rows]
