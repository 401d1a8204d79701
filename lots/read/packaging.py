"""Packaging lots in packs: what a series stands in, and which series a packaging lot went into."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from lots.codes.lots import parse_lot_code
from lots.models import LabelCount, PackagingUsed, PackedUnit, Step
from lots.read.balances import not_taken_back


@dataclass(frozen=True, slots=True)
class PackagingOfSeries:
    """What one series took of one packaging lot."""

    code: str
    used_count: int
    spoiled_count: int


def counts_that_stand() -> dict[int, int]:
    """Return the series of each count of labels that was not taken back, by its step."""
    stand = Step.objects.filter(not_taken_back(), stage="labelling", part="count").values("pk")
    return dict(LabelCount.objects.filter(step__in=stand).values_list("step_id", "unit_id"))


def packaging_of(units: Iterable[PackedUnit]) -> dict[int, list[PackagingOfSeries]]:
    """Return what some series took of packaging lots, by the id of the series."""
    wanted = {unit.pk for unit in units}
    series = {step: unit for step, unit in counts_that_stand().items() if unit in wanted}
    found: dict[int, list[PackagingOfSeries]] = defaultdict(list)
    for row in PackagingUsed.objects.filter(step__in=list(series)).order_by("pk"):
        found[series[row.step_id]].append(PackagingOfSeries(row.code, row.used_count, row.spoiled_count))
    return found


def same_packaging(one: str, other: str) -> bool:
    """Tell whether two texts name one packaging lot, capitals or not, hyphens of our own codes or not."""
    return (parse_lot_code(one) or one).casefold() == (parse_lot_code(other) or other.strip()).casefold()


def packed_in(code: str) -> list[PackedUnit]:
    """Return the series that a packaging lot went into, also those where some of it was only spoiled."""
    series = counts_that_stand()
    known = parse_lot_code(code) or code.strip()
    rows = PackagingUsed.objects.filter(code__iexact=known, step__in=list(series)).values_list("step_id", flat=True)
    return list(PackedUnit.objects.filter(pk__in={series[step] for step in rows}).select_related("lot").order_by("pk"))
