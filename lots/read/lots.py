"""The lots of the book: found, ordered and paged by the database, then told row by row with leaf and verdict."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from typing import Any

from django.db.models import Case, CharField, Exists, F, OuterRef, Q, QuerySet, Subquery, Value, When

from lots.models import Composition, HarvestFlush, Hold, HoldReach, Lot
from lots.read.names import LotName, lot_name
from lots.read.origins import OriginShare, origins_of
from lots.read.verdicts import balances_of_lots, verdict_of_lot, worst_node
from lots.trade.weighing import Side, Verdict

BLOCK = 500


class State(StrEnum):
    """How a lot stands today."""

    HERE = "here"
    HELD = "held"
    FETCHED = "fetched back"
    USED = "used up"


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot in the list. ``plot`` to ``plucked_on`` tell the largest share; ``origin_count`` how many harvests there are.

    ``yield_frac`` is the dry mass of the lot over the dry mass that went into its step (None where the step is not
    judged or made the lot in several pieces); ``z`` how far its worst balance lies from the usual.
    """

    lot: LotName
    step: int
    opened_at: dt.datetime
    mass_mg: int
    book_mg: int
    state: State
    origin_count: int
    plot: str
    plot_name: str
    cultivar: str
    cultivar_ja: str
    plucked_on: dt.date | None
    yield_frac: float | None
    z: float | None
    verdict: Verdict | None

    @property
    def code(self) -> str:
        """The public code."""
        return self.lot.code

    @property
    def name(self) -> str:
        """What people call it."""
        return self.lot.name

    @property
    def material(self) -> str:
        """What it is made of."""
        return self.lot.material


def standing_hold(kinds: Sequence[str]) -> Q:
    """Return the condition that a hold of these kinds stands on a lot or on anything that its leaf came from."""
    standing = {"ended_by__isnull": True, "kind__in": kinds}
    reached = HoldReach.objects.filter(
        step=OuterRef("step_id"), **{f"hold__{name}": value for name, value in standing.items()}
    )
    return Q(Exists(Hold.objects.filter(lot=OuterRef("pk"), **standing))) | Q(Exists(reached))


def lots_known() -> QuerySet[Lot]:
    """Return every lot, with what is needed to tell its state."""
    stopped = [Hold.Kind.HOLD, Hold.Kind.RECALL]
    return Lot.objects.select_related("step", "stock").annotate(
        state=Case(
            When(standing_hold([Hold.Kind.RECALL]), then=Value(State.FETCHED)),
            When(standing_hold(stopped), then=Value(State.HELD)),
            When(Q(stock__emptied=False, stock__book_mg__gt=0), then=Value(State.HERE)),
            default=Value(State.USED), output_field=CharField(),
        )
    )


def with_words(rows: QuerySet[Lot], text: str) -> QuerySet[Lot]:
    """Return the lots whose code, reference, plot or cultivar holds the words."""
    words = text.strip()
    leaf = HarvestFlush.objects.filter(
        Q(plot__name__icontains=words) | Q(plot__code__iexact=words)
        | Q(cultivar__name__icontains=words) | Q(cultivar__name_ja__icontains=words)
    )
    holders = Composition.objects.filter(harvest__in=leaf.values("pk")).values("held_by")
    code = words.replace("-", "").replace(" ", "").upper()
    return rows.filter(
        Q(maker_ref__icontains=words) | Q(code__icontains=code) | Q(step__origin__held_by__in=holders)
    )


def largest(field: str) -> Subquery:
    """Return one fact of the harvest with the largest share in a lot."""
    shares = Composition.objects.filter(held_by=OuterRef("step__origin__held_by"))
    return Subquery(shares.order_by("-share_frac", "harvest_id").values(f"harvest__harvestflush__{field}")[:1])


#: What the list may be ordered by. A subquery is only asked for when somebody orders by it.
ORDERS: dict[str, Any] = {
    "name": Case(When(maker_ref="", then=F("code")), default=F("maker_ref")), "material": F("material"),
    "opened_at": F("step__happened_at"), "mass_mg": F("mass_mg"), "book_mg": F("stock__book_mg"), "state": F("state"),
    "plot_name": largest("plot__code"), "cultivar": largest("cultivar__name"), "plucked_on": largest("plucked_on"),
}


class LotRows:
    """A list of lots that reads only what is asked of it: it can be counted, ordered, cut and walked through."""

    def __init__(self, rows: QuerySet[Lot]) -> None:
        self.rows = rows.order_by("-pk") if not rows.query.order_by else rows

    def count(self) -> int:
        """Return how many lots there are."""
        return self.rows.count()

    def __len__(self) -> int:
        return self.count()

    def order_by(self, *names: str) -> LotRows:
        """Return the same lots in the order of these columns, ``-`` for falling; unknown names are passed over."""
        known = [n for n in names if n.removeprefix("-") in ORDERS]
        order = [ORDERS[n.removeprefix("-")] for n in known]
        directed = [o.desc(nulls_last=True) if n[0] == "-" else o.asc(nulls_last=True)
                    for n, o in zip(known, order, strict=True)]
        return LotRows(self.rows.order_by(*directed, "-pk"))

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice):
            return told(list(self.rows[place]))
        return told([self.rows[place]])[0]

    def __iter__(self) -> Iterator[LotRow]:
        waiting = self.rows.iterator(chunk_size=BLOCK)
        while block := list(islice(waiting, BLOCK)):
            yield from told(block)


def told(lots: Sequence[Lot]) -> list[LotRow]:
    """Return lots (with step, stock and ``state``) as rows, in a handful of queries however many there are."""
    origins = origins_of({lot.step_id for lot in lots})
    nodes = balances_of_lots(lots)
    return [lot_row(lot, origins.get(lot.step_id, ()), nodes.get(lot.pk, [])) for lot in lots]


def lot_row(lot: Lot, origins: Sequence[OriginShare], nodes: Sequence[Any]) -> LotRow:
    """Return one lot as a row."""
    first = origins[0] if origins else OriginShare(0.0)
    worst = worst_node(nodes)
    return LotRow(
        lot=lot_name(lot), step=lot.step_id, opened_at=lot.step.happened_at, mass_mg=lot.mass_mg,
        book_mg=lot.stock.book_mg, state=State(lot.state),  # type: ignore[attr-defined]
        origin_count=len(origins), plot=first.plot, plot_name=first.plot_name, cultivar=first.cultivar,
        cultivar_ja=first.cultivar_ja, plucked_on=first.plucked_on, yield_frac=yield_of(lot, nodes),
        z=worst.balance.z if worst else None, verdict=verdict_of_lot(nodes),
    )


def yield_of(lot: Lot, nodes: Sequence[Any]) -> float | None:
    """Return the dry share of a step's input that became this lot, where the step made it in one piece."""
    name = str(lot)
    made = next((n for n in nodes if n.stage in {"drying", "refining", "sieving"}), None)
    if made is None or not made.balance.input_mg > 0:
        return None
    mine = [line for line in made.lines if line.side is Side.OUT and line.lot == name]
    if len(mine) != 1 or mine[0].moisture_frac is None:
        return None
    return float(mine[0].mass_mg * (1 - mine[0].moisture_frac) / made.balance.input_mg)
