"""What was counted of labels, organic marks and re-prints, by series."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from lots.models import LabelCount, LabelReprint, PackedUnit, Step
from lots.read.balances import not_taken_back
from lots.read.label_words import label_findings
from lots.read.names import lot_name
from lots.trade.language import Said


@dataclass(frozen=True, slots=True)
class LabelsOfSeries:
    """The labels of one series: its newest count that stands (None: nobody counted), the findings on the words of its
    label, how many labels were printed again and why."""

    unit: PackedUnit
    row: LabelCount | None
    findings: tuple[Said, ...]
    reprinted_count: int
    causes: tuple[str, ...]

    @property
    def unexplained_count(self) -> int:
        """Printed labels that are neither on packs nor spoiled nor left; negative: more than were printed."""
        row = self.row
        return row.printed_count - row.applied_count - row.spoiled_count - row.left_count if row else 0

    @property
    def marks_unexplained_count(self) -> int:
        """The same of organic marks."""
        row = self.row
        if row is None or row.marks_taken_count is None:
            return 0
        return row.marks_taken_count - (row.marks_applied_count or 0) - (row.marks_spoiled_count or 0) - (row.marks_left_count or 0)

    @property
    def marked_mg(self) -> int | None:
        """Organic tea packed by marks: marks on packs times net content, in mg; None where there were no marks."""
        row = self.row
        return row.marks_applied_count * self.unit.product.net_mg if row and row.marks_applied_count is not None else None

    @property
    def closes(self) -> bool:
        """Whether labels and marks are accounted for, one a pack, with words that the packs bear out."""
        row = self.row
        if row is None or self.findings or self.unexplained_count or self.marks_unexplained_count:
            return False
        marks = row.marks_applied_count
        return row.applied_count == self.unit.pack_count and marks in {None, self.unit.pack_count}


def labels_of(units: Iterable[PackedUnit]) -> list[LabelsOfSeries]:
    """Return the labels of some series, in their order."""
    known = list(units)
    stand = Step.objects.filter(not_taken_back(), stage="labelling").values("pk")
    rows = LabelCount.objects.filter(unit__in=known, step__in=stand).select_related("step", "label__product").order_by("pk")
    newest = {row.unit_id: row for row in rows}
    again = list(LabelReprint.objects.filter(unit__in=known, step__in=stand).order_by("pk"))
    return [labels_of_one(unit, newest.get(unit.pk), [one for one in again if one.unit_id == unit.pk]) for unit in known]


def labels_of_one(unit: PackedUnit, row: LabelCount | None, again: list[LabelReprint]) -> LabelsOfSeries:
    """Return the labels of one series."""
    told = label_findings(row.label, unit) if row else ()
    return LabelsOfSeries(unit, row, told, sum(one.print_count for one in again), tuple(one.cause for one in again))


@dataclass(frozen=True, slots=True)
class UncountedRun:
    """A packing run of which some series for sale has no count of labels: its step, the name of its packs, and when."""

    step: int
    name: str
    at: dt.datetime


def uncounted_runs(most: int, days: int = 30) -> list[UncountedRun]:
    """Return the runs of the last ``days`` days whose labels nobody counted, the newest first."""
    stand = Step.objects.filter(not_taken_back(), stage="labelling", part="count").values("pk")
    counted = LabelCount.objects.filter(step__in=stand).values("unit")
    runs = Step.objects.filter(not_taken_back(), stage="packing", happened_at__gte=timezone.now() - dt.timedelta(days=days)).values("pk")
    units = PackedUnit.objects.filter(retained=False, step__in=runs).exclude(pk__in=counted)
    found: dict[int, UncountedRun] = {}
    for unit in units.select_related("lot", "step").order_by("-step_id", "first_no"):
        found.setdefault(unit.step_id, UncountedRun(unit.step_id, lot_name(unit.lot).name, unit.step.happened_at))
    return list(found.values())[:most]
