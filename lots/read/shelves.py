"""The balances of many stock counts at once: the same lines as one by one, in as many queries as for a single one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from lots.models import Flow, StockCount
from lots.read.closing import shelf_lines
from lots.read.counting import from_earlier
from lots.trade.weighing import Weighing

Bags = Mapping[int, frozenset[int]]


def lines_of_counts(counts: Sequence[StockCount], all_counts: QuerySet[StockCount]) -> dict[int, list[Weighing]]:
    """Return the lines of each count's balance, by its step. ``all_counts`` are the counts that stand in the book."""
    return {c.pk: lines_of(c, *around) for c, *around in with_shelves(counts, all_counts)}


def with_shelves(
    counts: Sequence[StockCount], all_counts: QuerySet[StockCount]
) -> Iterator[tuple[StockCount, list[StockCount], Bags, dict[int, list[Flow]]]]:
    """Yield each count with the other counts of its lot, the bags of all, and every line of the lots, read once for all."""
    lots = {c.lot_id for c in counts}
    if not lots:
        return
    siblings: dict[int, list[StockCount]] = defaultdict(list)
    for count in all_counts.filter(lot__in=lots).order_by("pk"):
        siblings[count.lot_id].append(count)
    bags = bags_of([c.pk for each in siblings.values() for c in each])
    flows = flows_of(lots | {bag for each in bags.values() for bag in each})
    yield from ((c, siblings[c.lot_id], bags, flows) for c in counts)


def bags_of(step_ids: Sequence[int]) -> dict[int, frozenset[int]]:
    """Return the bags that were weighed together with the counted lot, by the step of the count."""
    found: dict[int, set[int]] = defaultdict(set)
    for step, lot in Flow.objects.filter(step__in=step_ids, role="counted with").values_list("step_id", "lot_id"):
        found[step].add(lot)
    return {step: frozenset(lots) for step, lots in found.items()}


def flows_of(lot_ids: set[int]) -> dict[int, list[Flow]]:
    """Return every line of some lots by lot, a correction under the step that it speaks of (``at``)."""
    rows = Flow.objects.filter(Q(kind=Flow.Kind.IN) | Q(kind=Flow.Kind.OUT), lot__in=lot_ids)
    at = Coalesce("step__corrects_id", "step_id")
    found: dict[int, list[Flow]] = defaultdict(list)
    for flow in rows.annotate(at=at).select_related("scale", "lot").order_by("pk"):
        found[flow.lot_id].append(flow)
    return found


@dataclass(frozen=True, slots=True)
class Shelf:
    """What one count stands against: the lines that put the lot on the shelf, those that took from it since the count before,
    and the bags that came back."""

    opening: list[Flow]
    issued: list[Flow]
    returned: list[Flow]
    earlier: StockCount | None


def shelf_of(count: StockCount, siblings: Sequence[StockCount], bags: Bags, flows: Mapping[int, list[Flow]]) -> Shelf:
    """Return what one count stands against, from what was read for all."""
    earlier = next((c for c in reversed(siblings) if c.pk < count.pk), None)
    start = earlier.pk if earlier else 0
    with_bags = bags.get(count.pk, frozenset())
    mine = [f for f in flows.get(count.lot_id, ()) if f.at < count.pk]  # type: ignore[attr-defined]
    of_bags = [f for bag in sorted(with_bags) for f in flows.get(bag, ()) if f.at < count.pk]  # type: ignore[attr-defined]
    issued = [f for f in in_order([*mine, *of_bags]) if f.kind == Flow.Kind.IN and f.at > start]  # type: ignore[attr-defined]
    known = bags.get(start, frozenset())
    returned = [f for f in in_order(of_bags) if f.kind == Flow.Kind.OUT and f.lot_id not in known]
    return Shelf([f for f in mine if f.kind == Flow.Kind.OUT], issued, returned, earlier)


def lines_of(count: StockCount, siblings: Sequence[StockCount], bags: Bags, flows: Mapping[int, list[Flow]]) -> list[Weighing]:
    """Return the lines of one count from what was read for all."""
    shelf = shelf_of(count, siblings, bags, flows)
    lines = shelf_lines(shelf.opening, shelf.issued, shelf.returned, (count.counted_mg, count.reading_count, count.scale))
    return from_earlier(lines, shelf.earlier) if shelf.earlier else lines


def in_order(flows: Sequence[Flow]) -> list[Flow]:
    """Return lines in the order in which they were written."""
    return sorted(flows, key=lambda f: f.pk)
