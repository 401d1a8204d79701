"""Where from, where to: one lot (or all lots of one reference) traced back to the fields and forward to the packs.

Three tiers are kept apart. *Contains*: recorded flow, with shares of dry mass. *May have touched*: a machine that was
not opened and cleaned in between, with a bound. *Excluded*: looked at, and shut out by a clean-down on every machine
that the two share.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce

from django.db.models import Q

from lots.models import Equipment, Flow, HarvestFlush, Lot, Step
from lots.read.machines import Passed, all_contacts, passed
from lots.read.names import LotName, lot_name
from lots.read.origins import OriginShare, harvests, origins_of
from lots.read.outgoing import Sent, SeriesTrace, sent_of, series_of
from lots.read.reaching import Reached, reached
from lots.read.sourcing import steps_of_runs
from lots.read.stops import Stop, Stops, Way, gather
from lots.trade.lineage import Contact, Tier


@dataclass(frozen=True, slots=True)
class Touched:
    """Something may have gone from one stop to another, because machines that both used were not cleaned in between.

    ``earlier`` and ``later`` are keys of stops. ``bound_mg`` is the most (None: nobody knows) and ``estimate_mg`` the
    estimate, as read. ``origins`` is what the stop that is not ours holds; ``behind`` are further harvests that may have
    come to it by contact before. ``forward`` tells that ours is the earlier one.
    """

    earlier: str
    later: str
    machines: tuple[str, ...]
    kind: str
    from_at: dt.datetime
    to_at: dt.datetime
    bound_mg: int | None
    estimate_mg: int | None
    origins: tuple[OriginShare, ...]
    behind: tuple[OriginShare, ...]
    forward: bool


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The clean-down that shuts a contact out: machine, step, entry, when."""

    machine: str
    step: int
    entry: int
    happened_at: dt.datetime


@dataclass(frozen=True, slots=True)
class Excluded:
    """A stop that was looked at and shut out, with every clean-down that does it."""

    earlier: str
    later: str
    cleaned: tuple[Cleaned, ...]
    origins: tuple[OriginShare, ...]
    forward: bool


@dataclass(frozen=True, slots=True)
class Here:
    """A lot of the trace that is still here: its name and what the book has of it, in mg as read."""

    lot: LotName
    book_mg: int


@dataclass(frozen=True, slots=True)
class Trace:
    """The whole answer for one lot, or for all lots of one reference.

    ``origins``: harvests with their share of dry mass. ``stops`` and ``ways``: the path, every tier. ``back_steps`` and
    ``forward_steps``: all steps that the leaf came from and that hold it, as a recall needs them; ``touched_steps``
    are later steps that contact may have reached, each with its bound in mg (None: not known).
    """

    lots: tuple[LotName, ...]
    step: int
    origins: tuple[OriginShare, ...]
    stops: tuple[Stop, ...]
    ways: tuple[Way, ...]
    touched: tuple[Touched, ...]
    excluded: tuple[Excluded, ...]
    series: tuple[SeriesTrace, ...]
    consignments: tuple[Sent, ...]
    here: tuple[Here, ...]
    back_steps: frozenset[int]
    forward_steps: frozenset[int]
    touched_steps: tuple[tuple[int, int | None], ...]

    def stop(self, key: str) -> Stop:
        """Return a stop by its key."""
        return next(s for s in self.stops if s.key == key)

    @property
    def own_stop(self) -> Stop | None:
        """The stop that made the traced lot."""
        return next((s for s in self.stops if self.step in s.steps), None)


def trace(lot: Lot) -> Trace:
    """Return where a lot comes from and where it went."""
    return trace_lots([lot])


def trace_lots(lots: Sequence[Lot]) -> Trace:
    """Return where some lots (of one reference) come from and where they went."""
    return _Tracing(lots).traced()


class _Tracing:
    """One trace: both directions first, then everything that a page shows of them."""

    def __init__(self, lots: Sequence[Lot]) -> None:
        self.lots = sorted(lots, key=lambda lot: lot.pk)
        contacts = all_contacts()
        self.starts = sorted({lot.step_id for lot in self.lots})
        self.back = reached(self.starts, contacts, forward=False)
        self.forth = reached(first_draws(self.lots), contacts, forward=True)
        self.doors = [(each, way) for way in (self.back, self.forth) for each in way.doors()]
        self.passed = passed([door for door, _ in self.doors])
        self.shut = [(each, way) for way in (self.back, self.forth) for each in way.reach.shut_out]
        self.origin_of_run = self.origins_of_runs()
        self.origins = origins_of(self.starts)
        self.harvests_known = harvests(HarvestFlush.objects.filter(
            pk__in=self.back.reach.may_have_touched | self.back.reach.contains).values_list("pk", flat=True))

    def traced(self) -> Trace:
        """Return the whole answer."""
        stops = gather(self.tiers(), [lot.pk for lot in self.lots])
        bounds = self.forward_bounds()
        holders = dict.fromkeys(self.forth.reach.contains, Tier.CONTAINS)
        series = (
            *series_of(dict.fromkeys(self.starts, Tier.CONTAINS), {}, [lot.pk for lot in self.lots]),
            *series_of(holders, {}), *series_of(dict.fromkeys(bounds, Tier.TOUCHED), bounds),
        )
        return Trace(
            lots=tuple(lot_name(lot) for lot in self.lots), step=self.starts[-1], origins=self.merged_origins(),
            stops=stops.stops, ways=stops.ways, touched=self.touched(stops), excluded=self.excluded(stops), series=series,
            consignments=sent_of(one.series for one in series if one.tier is Tier.CONTAINS), here=self.here(),
            back_steps=self.back.reach.contains, forward_steps=self.forth.reach.contains,
            touched_steps=tuple(sorted(bounds.items())),
        )

    # tiers ----------------------------------------------------------------------------------------------------------

    def tiers(self) -> dict[int, Tier]:
        """Return every step that is shown with its tier; a step in several has the gravest."""
        found: dict[int, Tier] = {}
        for each, way in self.shut:
            found |= dict.fromkeys(self.shown_beyond(each, way), Tier.EXCLUDED)
        for each, way in self.doors:
            found |= dict.fromkeys(self.shown_beyond(each, way), Tier.TOUCHED)
        return {**found, **dict.fromkeys(self.back.reach.contains | self.forth.reach.contains, Tier.CONTAINS)}

    def shown_beyond(self, contact: Contact, way: Reached) -> Iterable[int]:
        """Return the steps at the far end of a contact: with their own history on the way back, alone on the way on."""
        members = way.members(way.far(contact))
        return members if way.forward else way.beyond(contact).contains

    def origins_of_runs(self) -> dict[int, tuple[OriginShare, ...]]:
        """Return the harvests in each run at the far end of a contact: those of its last step that has any."""
        roots = {way.far(each) for each, way in (*self.doors, *self.shut)}
        members = steps_of_runs(roots)
        shares = origins_of(members)
        found: dict[int, tuple[OriginShare, ...]] = {}
        for step in sorted(shares):
            found[members[step]] = shares[step]
        return found

    def merged_origins(self) -> tuple[OriginShare, ...]:
        """Return the origins of the traced lots: those of their step, or of all their steps by equal parts."""
        of_steps = [self.origins.get(step, ()) for step in self.starts]
        if len(of_steps) == 1:
            return of_steps[0]
        share: dict[int | None, float] = defaultdict(float)
        one: dict[int | None, OriginShare] = {}
        for each in of_steps:
            for origin in each:
                share[origin.harvest] += origin.share_frac / len(of_steps)
                one[origin.harvest] = origin
        return tuple(with_share(one[h], frac) for h, frac in sorted(share.items(), key=lambda item: -item[1]))
