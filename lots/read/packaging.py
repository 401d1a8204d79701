"""Packaging lots in packs: what a series stands in, and which series a packaging lot went into."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lots.codes.lots import parse_lot_code
from lots.models import LabelCount, PackagingLot, PackagingUsed, PackedUnit, Step
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


@dataclass(frozen=True, slots=True)
class PackagingStock:
    """A packaging lot that was taken in: kind, supplier and paper, how many came, and how many packs and spoils took of it."""

    code: str
    item: str
    supplier: str
    paper_no: str
    came_count: int
    taken_count: int

    @property
    def left_count(self) -> int:
        """How many should be left; negative: more were taken than came."""
        return self.came_count - self.taken_count


def packaging_lots() -> list[PackagingStock]:
    """Return the packaging lots that were taken in and stand, the oldest first; deliveries under one code are one lot."""
    stand = Step.objects.filter(not_taken_back(), stage="receiving", part="packaging").values("pk")
    rows = PackagingLot.objects.filter(step__in=stand).select_related("item", "supplier").order_by("pk")
    taken: Counter[str] = Counter()
    for row in PackagingUsed.objects.filter(step__in=list(counts_that_stand())):
        taken[key_of(row.code)] += row.used_count + row.spoiled_count
    came: dict[str, list[PackagingLot]] = defaultdict(list)
    for row in rows:
        came[key_of(row.code)].append(row)
    return [stock_of(its, taken[code]) for code, its in came.items()]


def stock_of(deliveries: Sequence[PackagingLot], taken_count: int) -> PackagingStock:
    """Return one packaging lot of its deliveries."""
    first, last = deliveries[0], deliveries[-1]
    came_count = sum(one.counted_count for one in deliveries)
    return PackagingStock(first.code, first.item.name, first.supplier.code, last.paper_no, came_count, taken_count)


def same_packaging(one: str, other: str) -> bool:
    """Tell whether two texts name one packaging lot, capitals or not, hyphens of our own codes or not."""
    return key_of(one) == key_of(other)


def key_of(code: str) -> str:
    """Return a packaging code as codes are compared."""
    return (parse_lot_code(code) or code.strip()).casefold()


def packed_in(code: str) -> list[PackedUnit]:
    """Return the series that a packaging lot went into, also those where some of it was only spoiled."""
    series = counts_that_stand()
    known = parse_lot_code(code) or code.strip()
    rows = PackagingUsed.objects.filter(code__iexact=known, step__in=list(series)).values_list("step_id", flat=True)
    return list(PackedUnit.objects.filter(pk__in={series[step] for step in rows}).select_related("lot").order_by("pk"))
