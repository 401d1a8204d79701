"""Packs that came back: which delivery they belong to, and those on which quality has not spoken."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from lots.models import Consignment, Flow, PackedUnit, PackMove, PackReturn, ReturnFate
from lots.read.cases import taken_back
from lots.read.names import lot_name


@dataclass(frozen=True, slots=True)
class Delivered:
    """What a consignment has out of one series: its step, packs sent less returned, packs whose numbers were not written."""

    step: int
    out_count: int
    uncounted: bool


def deliveries(unit: PackedUnit) -> list[Delivered]:
    """Return the consignments that still have packs of a series, the newest first."""
    moves = PackMove.objects.filter(~taken_back("step"), unit=unit, fate=PackMove.Fate.DISPATCHED)
    sent: dict[int, int] = defaultdict(int)
    uncounted: set[int] = set()
    for step, count, first_no in moves.values_list("step_id", "pack_count", "first_no"):
        sent[step] += count
        uncounted |= {step} if first_no is None else set()
    of_step = dict(PackReturn.objects.filter(consignment__in=sent).values_list("step_id", "consignment_id"))
    back = PackMove.objects.filter(unit=unit, step__in=of_step, fate=PackMove.Fate.RETURNED)
    for step, count in back.values_list("step_id", "pack_count"):
        sent[of_step[step]] -= count
    return [Delivered(step, count, step in uncounted) for step, count in sorted(sent.items(), reverse=True) if count > 0]


def delivery_of(unit: PackedUnit, pack_no: int) -> int | None:
    """Return the consignment that a pack left with last, where its number was written."""
    moves = PackMove.objects.filter(~taken_back("step"), unit=unit, fate=PackMove.Fate.DISPATCHED)
    return moves.filter(first_no__lte=pack_no, last_no__gte=pack_no).order_by("-pk").values_list("step_id", flat=True).first()


def mass_out_mg(step: int, unit: PackedUnit) -> tuple[int, int]:
    """Return the mass that a consignment drew from a series, corrections counted, and for how many packs."""
    lines = Flow.objects.filter(lot=unit.lot_id, kind=Flow.Kind.IN)
    mass_mg = sum(lines.filter(step=step).values_list("mass_mg", flat=True))
    mass_mg += sum(lines.filter(step__corrects=step).values_list("mass_mg", flat=True))
    counts = PackMove.objects.filter(step=step, unit=unit, fate=PackMove.Fate.DISPATCHED).values_list("pack_count", flat=True)
    return mass_mg, sum(counts)


@dataclass(frozen=True, slots=True)
class CameBack:
    """A return that waits for quality: its step, packs by lot, who had them, why and how they came, when."""

    step: int
    lots: tuple[tuple[str, int], ...]
    consignee: str
    consignee_name: str
    document_no: str
    why: str
    state: str
    at: dt.datetime

    @property
    def pack_count(self) -> int:
        """How many packs."""
        return sum(count for _lot, count in self.lots)


def without_word() -> QuerySet[PackReturn]:
    """Return the returns on which quality has not spoken."""
    return PackReturn.objects.filter(~Exists(ReturnFate.objects.filter(~taken_back("step"), returned=OuterRef("step"))))


def waiting() -> list[CameBack]:
    """Return the returns on which quality has not spoken, the oldest first."""
    return [came_back(row) for row in without_word().select_related("step").order_by("pk")]


def waiting_count() -> int:
    """Return how many returns wait for the word of quality."""
    return without_word().count()


def came_back(row: PackReturn) -> CameBack:
    """Return one return as a record."""
    counts: dict[str, int] = defaultdict(int)
    for move in PackMove.objects.filter(step=row.step_id, fate=PackMove.Fate.RETURNED).select_related("unit__lot"):
        counts[lot_name(move.unit.lot).name] += move.pack_count
    sent = Consignment.objects.select_related("consignee").get(pk=row.consignment_id)
    return CameBack(
        row.step_id, tuple(counts.items()), sent.consignee.code, sent.consignee.name, sent.document_no, row.why, row.state,
        row.step.happened_at,
    )
