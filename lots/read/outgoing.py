"""Series of packs and where they went: made, here, gone, and the consignments that took them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from lots.models import Consignment, PackedUnit, PackMove, PackReturn, Removal
from lots.read.names import LotName, lot_name
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class SeriesTrace:
    """One series of like packs: numbers ``first_no`` to ``last_no`` of ``run_no``, its tier and what became of it.

    ``dispatched_count`` is less what came back and holds what was given away; ``destroyed_count`` holds what the house used
    itself. ``bound_mg`` is the most that contact may have brought into its whole
    packing run (None: not a matter of contact, or nobody knows).
    """

    series: int
    step: int
    lot: LotName
    product: str
    product_name: str
    product_name_ja: str
    pack: str
    net_mg: int
    run_no: int
    first_no: int
    last_no: int
    retained: bool
    packed_on: dt.date
    best_before_on: dt.date
    void_count: int
    destroyed_count: int
    dispatched_count: int
    returned_count: int
    tier: Tier
    bound_mg: int | None = None

    @property
    def made_count(self) -> int:
        """Packs made good."""
        return self.last_no - self.first_no + 1 - self.void_count

    @property
    def here_count(self) -> int:
        """Packs that the book has here, kept samples included."""
        return self.made_count - self.destroyed_count - self.dispatched_count


@dataclass(frozen=True, slots=True)
class Sent:
    """Packs of one series that went to a consignee with one document. ``name`` and ``contact`` are commitments.

    The numbers are None where only a count was written: then it may be any of the series.
    """

    step: int
    entry: int
    series: int
    consignee: str
    name: str
    contact: str
    document_no: str
    carrier: str
    recipient: str
    happened_at: dt.datetime
    pack_count: int
    first_no: int | None
    last_no: int | None
    returned_count: int


Bounds = Mapping[int, int | None]
GONE = PackMove.Fate.DISPATCHED
GIVEN = PackMove.Fate.GIVEN


def series_of(steps: Mapping[int, Tier], bounds: Bounds, lots: Iterable[int] = ()) -> tuple[SeriesTrace, ...]:
    """Return the series that were packed in some steps, or are among some lots only where these are given."""
    units = PackedUnit.objects.filter(step__in=list(steps)).select_related("lot", "product").order_by("pk")
    only = list(lots)
    if only:
        units = units.filter(lot__in=only)
    moved: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for unit, fate, count in PackMove.objects.filter(unit__in=units).values_list("unit_id", "fate", "pack_count"):
        moved[unit][fate] += count
    return tuple(one_series(unit, moved[unit.pk], steps[unit.step_id], bounds.get(unit.step_id)) for unit in units)


def one_series(unit: PackedUnit, moved: Mapping[str, int], tier: Tier, bound_mg: int | None) -> SeriesTrace:
    """Return one series with the counts of its moves."""
    product, back = unit.product, moved.get(PackMove.Fate.RETURNED, 0)
    return SeriesTrace(
        series=unit.pk, step=unit.step_id, lot=lot_name(unit.lot), product=product.code, product_name=product.name,
        product_name_ja=product.name_ja, pack=product.kind, net_mg=product.net_mg, run_no=unit.run_no,
        first_no=unit.first_no, last_no=unit.last_no, retained=unit.retained, packed_on=unit.packed_on,
        best_before_on=unit.best_before_on, void_count=moved.get(PackMove.Fate.VOID, 0),
        destroyed_count=moved.get(PackMove.Fate.DESTROYED, 0) + moved.get(PackMove.Fate.OWN_USE, 0) - moved.get(PackMove.Fate.RESTORED, 0),
        dispatched_count=moved.get(GONE, 0) + moved.get(GIVEN, 0) - back,
        returned_count=back, tier=tier, bound_mg=bound_mg,
    )


def sent_of(series: Iterable[int]) -> tuple[Sent, ...]:
    """Return the consignments that took packs of some series, oldest first; what was taken back whole is left out."""
    moves = PackMove.objects.filter(unit__in=list(series))
    gone = list(moves.filter(fate__in=(GONE, GIVEN)).select_related("step").order_by("pk"))
    told = Consignment.objects.filter(pk__in={m.step_id for m in gone}).select_related("consignee")
    consignments = {row.pk: row for row in told}
    gifts = Removal.objects.in_bulk([m.step_id for m in gone if m.fate == GIVEN])
    back = came_back(gone, moves.filter(fate=PackMove.Fate.RETURNED).select_related("step").order_by("pk"), consignments)
    sent = [
        one_gift(move, gifts[move.step_id], back[move.pk]) if move.fate == GIVEN
        else one_sent(move, consignments[move.step_id], back[move.pk])
        for move in gone
    ]
    return tuple(one for one in sent if one.returned_count < one.pack_count)


def came_back(gone: Sequence[PackMove], returned: Iterable[PackMove], consignments: Iterable[int]) -> Mapping[int, int]:
    """Return how many packs of each move came back: by their numbers where these were written down, else from the first move on."""
    sent_with = dict(PackReturn.objects.filter(consignment__in=consignments).values_list("step_id", "consignment_id"))
    sent: dict[tuple[int, int], list[PackMove]] = defaultdict(list)
    for move in gone:
        sent[move.step_id, move.unit_id].append(move)
    found: dict[int, int] = defaultdict(int)
    left: list[tuple[list[PackMove], int]] = []
    for one in returned:
        among = sent[sent_with.get(one.step_id) or one.step.corrects_id or 0, one.unit_id]
        left.append((among, one.pack_count - settle(found, one.pack_count, [(move, shared_count(move, one)) for move in among])))
    for among, count in left:
        settle(found, count, [(move, count) for move in among])
    return found


def settle(found: dict[int, int], count: int, most: Iterable[tuple[PackMove, int]]) -> int:
    """Count packs back to moves, to each no more than it took and no more than ``most`` says; return how many found a place."""
    placed = 0
    for move, most_count in most:
        took = min(count - placed, most_count, move.pack_count - found[move.pk])
        found[move.pk] += took
        placed += took
    return placed


def shared_count(one: PackMove, other: PackMove) -> int:
    """Return how many numbers two moves have in common; none where only a count was written."""
    if one.first_no is None or one.last_no is None or other.first_no is None or other.last_no is None:
        return 0
    return max(0, min(one.last_no, other.last_no) - max(one.first_no, other.first_no) + 1)


def one_sent(move: PackMove, consignment: Consignment, returned_count: int) -> Sent:
    """Return packs that went to one consignee. A subscriber of a round stands for himself, under the seal of his parcel."""
    party, step = consignment.consignee, move.step
    parcel = step.part == "parcel"
    return Sent(
        step=step.pk, entry=step.entry_id, series=move.unit_id, consignee=f"subscriber-{step.pk}" if parcel else party.code,
        name=consignment.recipient if parcel else party.name, contact=consignment.recipient if parcel else party.contact,
        document_no=consignment.document_no, carrier=consignment.carrier,
        recipient=consignment.recipient, happened_at=step.happened_at, pack_count=move.pack_count,
        first_no=move.first_no, last_no=move.last_no, returned_count=returned_count,
    )


def one_gift(move: PackMove, gift: Removal, returned_count: int) -> Sent:
    """Return packs that were given away: the person who has them stands where a consignee stands, each gift for itself."""
    step = move.step
    return Sent(
        step=step.pk, entry=step.entry_id, series=move.unit_id, consignee=f"gift-{step.pk}", name=gift.recipient,
        contact=gift.recipient_contact, document_no="", carrier="", recipient=gift.recipient, happened_at=step.happened_at,
        pack_count=move.pack_count, first_no=move.first_no, last_no=move.last_no, returned_count=returned_count,
    )


def packs_sent_at(steps: Iterable[int]) -> dict[int, tuple[str, str, dict[str, int]]]:
    """Return for each consignment among some steps its consignee's code, the commitment to the name, and packs by kind."""
    told = Consignment.objects.filter(pk__in=list(steps)).select_related("consignee")
    found: dict[int, tuple[str, str, dict[str, int]]] = {row.pk: (row.consignee.code, row.consignee.name, {}) for row in told}
    moves = PackMove.objects.filter(step__in=list(found), fate=GONE).values_list("step_id", "unit__product__kind", "pack_count")
    for step, kind, count in moves.order_by("pk"):
        packs = found[step][2]
        packs[kind] = packs.get(kind, 0) + count
    return found
