"""What is open today: who waits for a hand, what does not add up, which pairs are slow, what was written last."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from lots.models import Flow, Hold, House, JournalEntry, Lot, MillingRun, SievePass, Stock
from lots.read.faults import Fault, faults, residual_mg
from lots.read.holding import standing
from lots.read.lots import standing_hold
from lots.read.names import LotName, lot_name
from lots.read.recent import Recent, recent
from lots.read.stones import PairNow, pairs_now
from lots.read.years import newest_at, nodes_of_year
from lots.trade.weighing import Verdict

POWDER = ("tub_powder", "sieved_powder", "bulk_powder", "packed_tea")
#: Leaf that spoils while it waits, and the stage that it waits for.
LEAF = {"fresh_leaf": "drying", "crude_leaf": "refining"}


@dataclass(frozen=True, slots=True)
class Batch:
    """Lots that wait together: their job, material, how many, how much, the oldest, one of them by name."""

    job: str
    material: str
    lot_count: int
    mass_mg: int
    since_at: dt.datetime
    lot: LotName
    moisture_frac: float | None = None


@dataclass(frozen=True, slots=True)
class Oversize:
    """What stayed on a screen and nobody has decided about."""

    lot: LotName
    book_mg: int
    since_at: dt.datetime
    step: int


@dataclass(frozen=True, slots=True)
class Stopped:
    """A hold or recall that stands: kind, lot, material, since when, why, and how much of the lot the book has."""

    hold: int
    kind: str
    lot: LotName
    since_at: dt.datetime
    reason: str
    book_mg: int


@dataclass(frozen=True, slots=True)
class Today:
    """Everything that the first page shows. ``newest_at`` is when the newest act happened (None: an empty book)."""

    now: dt.datetime
    newest_at: dt.datetime | None
    entry_count: int
    pairs: tuple[PairNow, ...]
    tubs: tuple[Batch, ...]
    leaf: tuple[Batch, ...]
    oversize: tuple[Oversize, ...]
    stopped: tuple[Stopped, ...]
    wet: tuple[Batch, ...]
    ceiling_frac: float
    faults: tuple[Fault, ...]
    recent: tuple[Recent, ...]

    @property
    def milling(self) -> tuple[PairNow, ...]:
        """The pairs with an open run."""
        return tuple(p for p in self.pairs if p.run is not None)

    @property
    def slow(self) -> tuple[PairNow, ...]:
        """The pairs whose rate has fallen."""
        return tuple(p for p in self.pairs if p.state.verdict in {Verdict.LOOK, Verdict.STOP})

    @property
    def unexplained_mg(self) -> float:
        """The dry mass that nobody has explained: of each fault the largest distance from the usual."""
        return sum(max(abs(residual_mg(n)) for n in fault.nodes) for fault in self.faults)

    @property
    def days_quiet_count(self) -> int:
        """How many days at the mill have passed since the newest act."""
        if self.newest_at is None:
            return 0
        return (timezone.localtime(self.now).date() - timezone.localtime(self.newest_at).date()).days


def today(now: dt.datetime) -> Today:
    """Return what is open at a moment, in as many queries however big the book is."""
    newest = newest_at()
    ceiling = ceiling_frac()
    nodes = nodes_of_year(timezone.localtime(newest).year) if newest else []
    return Today(
        now=now, newest_at=newest, entry_count=JournalEntry.objects.count(), pairs=tuple(pairs_now()),
        tubs=tuple(batches(in_stock(("tub_powder",)))), leaf=tuple(batches(in_stock(tuple(LEAF)))),
        oversize=tuple(oversize_open()), stopped=tuple(stopped()), wet=tuple(wet_powder(ceiling)), ceiling_frac=ceiling,
        faults=tuple(faults(nodes)), recent=tuple(recent(most=6)),
    )


def ceiling_frac() -> float:
    """Return the house's ceiling for the moisture of powder, kg water per kg; 0 where it has none."""
    row = House.objects.filter(retired=False).order_by("-valid_from_at", "-id").values_list("moisture_ceiling_frac").first()
    return float(row[0]) if row else 0.0


def in_stock(materials: Sequence[str]) -> QuerySet[Stock]:
    """Return the stock of lots that are not used up, with the job of the run that made them."""
    job = MillingRun.objects.filter(step=OuterRef("lot__step__continues")).values("job")
    stock = Stock.objects.filter(lot__material__in=materials, emptied=False, book_mg__gt=0)
    return stock.select_related("lot__step").annotate(job=Subquery(job[:1])).order_by("lot_id")


def batches(stock: QuerySet[Stock], wet: dict[int, float] | None = None) -> list[Batch]:
    """Return stock by job and material, the oldest first; what belongs to no job stands alone."""
    grouped: dict[tuple[str, str, int], list[Stock]] = defaultdict(list)
    for row in stock:
        job = row.job or ""  # type: ignore[attr-defined]
        grouped[job, row.lot.material, 0 if job else row.lot_id].append(row)
    moist = wet or {}
    return [
        Batch(
            job, material, len(rows), sum(r.book_mg for r in rows), rows[0].lot.step.happened_at, lot_name(rows[0].lot),
            max((moist[r.lot_id] for r in rows if r.lot_id in moist), default=None),
        )
        for (job, material, _), rows in grouped.items()
    ]


def oversize_open() -> list[Oversize]:
    """Return what stayed on a screen, is still here and waits for a decision."""
    undecided = SievePass.objects.filter(oversize_fate=SievePass.Fate.OPEN).values("step")
    rows = Stock.objects.filter(lot__material="oversize", lot__step__in=undecided, emptied=False, book_mg__gt=0)
    return [
        Oversize(lot_name(r.lot), r.book_mg, r.lot.step.happened_at, r.lot.step_id)
        for r in rows.select_related("lot__step").order_by("lot_id")
    ]


def stopped() -> list[Stopped]:
    """Return the holds and recalls that stand, most kilograms first."""
    rows = Hold.objects.filter(standing()).select_related("lot").annotate(book_mg=F("lot__stock__book_mg"))
    found = [Stopped(h.pk, h.kind, lot_name(h.lot), h.happened_at, h.reason, h.book_mg) for h in rows]  # type: ignore[attr-defined]
    return sorted(found, key=lambda s: (-s.book_mg, s.hold))


def wet_powder(ceiling: float) -> list[Batch]:
    """Return powder in stock whose moisture is over the house's ceiling and on which no hold stands yet."""
    if not ceiling:
        return []
    over = Q(kind=Flow.Kind.OUT, moisture_frac__gt=ceiling, step_id=F("lot__step_id"))
    held = Lot.objects.filter(standing_hold([Hold.Kind.HOLD, Hold.Kind.RECALL])).values("pk")
    here = {"lot__material__in": POWDER, "lot__stock__book_mg__gt": 0, "lot__stock__emptied": False}
    lines = Flow.objects.filter(over, **here).exclude(lot__in=held)
    wet = {lot: float(frac) for lot, frac in lines.values_list("lot_id", "moisture_frac")}
    return batches(in_stock(POWDER).filter(lot__in=lines.values("lot")), wet) if wet else []
