"""The book of one lot: its life entry by entry, what stands today, what stops it, where it came from, what was made of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Q

from lots.models import DriedLeafLot, Hold, HoldReach, Lot
from lots.quality.shading import Shade
from lots.read.balances import BalanceNode
from lots.read.lot_life import LifeLine, life_of
from lots.read.names import LotName, lot_name
from lots.read.origins import OriginShare, origins_of
from lots.read.outgoing import Sent, SeriesTrace, sent_of, series_of
from lots.read.places import place_of
from lots.read.shading import shades_of
from lots.read.stops import Stop, Stops, gather
from lots.read.tracing import first_draws
from lots.read.verdicts import balances_of_lots
from lots.read.walking import down, up
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class HoldLine:
    """A hold or recall that reaches the lot: on which lot it was laid, since when, why; when and why it ended."""

    hold: int
    kind: str
    lot: LotName
    since_at: dt.datetime
    reason: str
    ended_at: dt.datetime | None
    ended_reason: str
    entry: int


@dataclass(frozen=True, slots=True)
class LotBook:
    """Everything that the book says of one lot. ``before`` and ``after`` are the stops that its leaf came from and went to."""

    lot: LotName
    step: int
    stage: str
    opened_at: dt.datetime
    book_mg: int
    emptied: bool
    taken_back: bool
    shelf: str
    grade: str
    origins: tuple[OriginShare, ...]
    shades: Mapping[int, Shade]
    life: tuple[LifeLine, ...]
    balances: tuple[BalanceNode, ...]
    holds: tuple[HoldLine, ...]
    stops: Stops
    own_key: str
    series: SeriesTrace | None
    sent: tuple[Sent, ...]
    entry_count: int

    @property
    def in_mg(self) -> int:
        """What came into the lot in all, as it stands."""
        return sum(line.in_mg or 0 for line in self.life if not line.struck)

    @property
    def out_mg(self) -> int:
        """What left it in all, as it stands."""
        return sum(line.out_mg or 0 for line in self.life if not line.struck)

    @property
    def standing_holds(self) -> tuple[HoldLine, ...]:
        """The holds that nobody ended."""
        return tuple(h for h in self.holds if h.ended_at is None)

    @property
    def before(self) -> tuple[Stop, ...]:
        """The stops that the leaf came through."""
        return tuple(s for s in self.stops.stops if s.steps[0] < self.step and s.key != self.own_key)

    @property
    def after(self) -> tuple[Stop, ...]:
        """The stops that hold leaf of this lot."""
        return tuple(s for s in self.stops.stops if s.steps[-1] > self.step and s.key != self.own_key)

    @property
    def corrected_at(self) -> dt.datetime | None:
        """When the last correction was made."""
        return max((line.at for line in self.life if line.stage == "correcting"), default=None)


def lot_book(lot: Lot) -> LotBook:
    """Return the book of a lot (read with its step and stock)."""
    steps = dict.fromkeys([*up([lot.step_id]), *down(first_draws([lot]))], Tier.CONTAINS)
    stops = gather(steps, [lot.pk])
    dried = DriedLeafLot.objects.filter(lot=lot).first()
    series = next(iter(series_of({lot.step_id: Tier.CONTAINS}, {}, [lot.pk])), None)
    origins = origins_of([lot.step_id]).get(lot.step_id, ())
    return LotBook(
        lot=lot_name(lot), step=lot.step_id, stage=lot.step.stage, opened_at=lot.step.happened_at,
        book_mg=lot.stock.book_mg, emptied=lot.stock.emptied, shelf=place_of(lot) or (dried.shelf if dried else ""),
        taken_back=lot.step.corrected_by.filter(part="reverse").exists(), grade=dried.grade if dried else "",
        origins=origins, shades=shades_of(origins), life=life_of(lot),
        balances=tuple(balances_of_lots([lot]).get(lot.pk, ())), holds=holds_of(lot), stops=stops,
        own_key=stops.key_of.get(lot.step_id, ""), series=series,
        sent=sent_of([series.series]) if series else (), entry_count=lot.entries.count(),
    )


# Holds ---------------------------------------------------------------------------------------------------------------


def holds_of(lot: Lot) -> tuple[HoldLine, ...]:
    """Return every hold and recall that reaches a lot or did while it stood, oldest first."""
    reached = HoldReach.objects.filter(step=lot.step_id).values("hold")
    rows = Hold.objects.exclude(kind=Hold.Kind.RELEASE).filter(Q(lot=lot) | Q(pk__in=reached))
    return tuple(hold_line(h) for h in rows.select_related("lot", "ended_by").order_by("pk"))


def hold_line(hold: Hold) -> HoldLine:
    """Return one hold."""
    end: Hold | None = getattr(hold, "ended_by", None)
    return HoldLine(
        hold.pk, hold.kind, lot_name(hold.lot), hold.happened_at, hold.reason, end.happened_at if end else None,
        end.reason if end else "", hold.entry_id,
    )
