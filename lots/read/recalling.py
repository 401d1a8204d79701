"""What has to come back: the scope of a recall in tiers, with counts, consignees, paths, and what is still here."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from lots.genealogy.reach import Reach
from lots.models import Flow, Lot, PackedUnit, PrivateValue, Step
from lots.read.counted_packs import CountedPacks, counted_packs
from lots.read.machines import Passed, all_contacts, passed
from lots.read.names import LotName, lot_name
from lots.read.outgoing import Sent, SeriesTrace, sent_of, series_of
from lots.read.reaching import Reached, reached
from lots.read.recall_starts import Begin, Start
from lots.read.stops import Stop, Way, gather
from lots.read.trace_records import Cleaned
from lots.read.tracing import added
from lots.recall.facts import RecallScope, SeriesFact, ShipmentFact
from lots.recall.scope import recall_scope
from lots.trade.lineage import Contact, Tier

Bounds = dict[int, int | None]
QUICKEST = ("telephone", "mail")
NOBODY_COUNTED: Mapping[int, int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class LotInScope:
    """A lot that holds it (or may): name, stage, mass when it was made and what the book has left, in mg as read."""

    lot: LotName
    stage: str
    tier: Tier
    opened_at: dt.datetime
    made_mg: int
    book_mg: int
    bound_mg: int | None


@dataclass(frozen=True, slots=True)
class ContactInScope:
    """A machine on which leaf may have gone over from what holds it: the stops' names, and the most, in mg as read."""

    machine: str
    earlier: str
    later: str
    bound_mg: int | None


@dataclass(frozen=True, slots=True)
class Consignee:
    """Who received packs: code, name, and the ways to reach him, quickest first, as long as they are not erased."""

    code: str
    name: str
    contact: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecallAnswer:
    """The whole answer. ``series`` and ``sent`` are the rows that ``scope`` is made of, by series id; ``counted`` are the
    shelves that somebody counted; ``stops`` and ``ways`` are the path, with what came before
    the beginning; ``shut`` gives each excluded packing step the clean-downs that shut it out;
    ``elsewhere_count`` is how many other series the book has, with no leaf of it and no machine in common after it."""

    start: Start
    scope: RecallScope
    series: Mapping[int, SeriesTrace]
    sent: tuple[Sent, ...]
    counted: Mapping[int, CountedPacks]
    consignees: Mapping[str, Consignee]
    lots: tuple[LotInScope, ...]
    stops: tuple[Stop, ...]
    ways: tuple[Way, ...]
    contacts: tuple[ContactInScope, ...]
    shut: Mapping[int, tuple[Cleaned, ...]]
    elsewhere_count: int

    def stop_name(self, key: str) -> str:
        """Return the name of a stop."""
        return next((s.name for s in self.stops if s.key == key), "")


def recall(start: Start, typed: Mapping[int, int] = NOBODY_COUNTED) -> RecallAnswer:
    """Return what a recall that begins there reaches. ``typed`` are packs counted on the shelf just now, by series id."""
    return _Recalling(start, typed).answered()


class _Recalling:
    """One recall: what is reached, then everything that a report says of it."""

    def __init__(self, start: Start, typed: Mapping[int, int]) -> None:
        self.start, self.typed = start, typed
        packaging = start.begin is Begin.PACKAGING
        contacts = () if packaging else all_contacts()
        self.way = packs_alone(start) if packaging else reached(start.steps, contacts, forward=True)
        back = start.begin not in {Begin.PLOT, Begin.PACKAGING}
        self.before = reached(start.steps, contacts, forward=False).reach.contains if back else frozenset()
        self.doors = self.way.doors()
        self.passed = passed(self.doors)
        self.bounds = bounds_of(self.way, self.doors, self.passed)
        self.shut = shut_out(self.way, set(self.bounds))

    def answered(self) -> RecallAnswer:
        """Return the whole answer."""
        series = self.all_series()
        sent = sent_of(series)
        counted = counted_packs(series.values(), self.typed)
        scope = recall_scope(
            self.way.reach.contains, [series_fact(one, counted.get(one.series)) for one in series.values()],
            [shipment(one) for one in sent], self.bounds, {step: each[0].machine for step, each in self.shut.items()},
        )
        stops = gather({**dict.fromkeys(self.before, Tier.CONTAINS), **self.tiers()}, self.start.lots)
        return RecallAnswer(
            start=self.start, scope=scope, series=series, sent=sent, counted=counted, consignees=consignees(sent),
            lots=self.lots(), stops=stops.stops, ways=stops.ways, contacts=self.contacts(stops.key_of, stops.stops), shut=self.shut,
            elsewhere_count=PackedUnit.objects.count() - len(series),
        )

    def tiers(self) -> dict[int, Tier]:
        """Return every step of the answer with its tier, the gravest where it has several."""
        return {
            **dict.fromkeys(self.shut, Tier.EXCLUDED), **dict.fromkeys(self.bounds, Tier.TOUCHED),
            **dict.fromkeys(self.way.reach.contains, Tier.CONTAINS),
        }

    def all_series(self) -> dict[int, SeriesTrace]:
        """Return the series of every tier, by id."""
        only = self.start.lots if self.start.begin is Begin.PACKAGING else ()
        return {one.series: one for one in series_of(self.tiers(), self.bounds, only)}

    def lots(self) -> tuple[LotInScope, ...]:
        """Return the lots that hold it or may, those that were named first."""
        tiers = {step: tier for step, tier in self.tiers().items() if tier is not Tier.EXCLUDED}
        named = Lot.objects.filter(pk__in=self.start.lots)
        reached_lots = Lot.objects.filter(step__in=tiers if self.start.begin is not Begin.PACKAGING else ())
        rows = (named | reached_lots).select_related("step", "stock").order_by("pk")
        return tuple(
            LotInScope(lot_name(lot), lot.step.stage, tiers.get(lot.step_id, Tier.CONTAINS), lot.step.happened_at, lot.mass_mg,
                       0 if lot.stock.emptied else lot.stock.book_mg, self.bounds.get(lot.step_id))
            for lot in rows
        )

    def contacts(self, key_of: Mapping[int, str], stops: Sequence[Stop]) -> tuple[ContactInScope, ...]:
        """Return the machines on which something may have gone over."""
        names = {stop.key: stop.name for stop in stops}

        def name(run: int) -> str:
            return next((names[key_of[step]] for step in (run, *self.way.members(run)) if step in key_of), "")

        return tuple(
            ContactInScope(door.equipment, name(door.earlier), name(door.later), self.passed[door].bound_mg) for door in self.doors
        )


def packs_alone(start: Start) -> Reached:
    """Return what packaging reaches: the runs that filled it, and where their packs went. No leaf that stayed, no machine."""
    drawn = Flow.objects.filter(lot__in=start.lots, kind=Flow.Kind.IN).values_list("step_id", flat=True)
    reach = Reach(frozenset({*start.steps, *drawn}), frozenset(), ())
    return Reached(forward=True, starts=start.steps, reach=reach, links=(), run_of={}, contacts=())


def bounds_of(way: Reached, doors: Sequence[Contact], over: Mapping[Contact, Passed]) -> Bounds:
    """Return the later steps that contact may have reached, each with the sum of the bounds that lead to it."""
    bounds: Bounds = {}
    for door in doors:
        beyond = way.beyond(door)
        for step in (beyond.contains | beyond.may_have_touched) - way.reach.contains:
            bounds[step] = added(bounds.get(step, 0), over[door].bound_mg)
    return bounds


def shut_out(way: Reached, touched: set[int]) -> dict[int, tuple[Cleaned, ...]]:
    """Return the steps behind a contact that a clean-down shut out, which no other way reaches, with these clean-downs."""
    cleaned = clean_downs({contact.cleaned_by for contact in way.reach.shut_out if contact.cleaned_by})
    found: dict[int, dict[int, Cleaned]] = defaultdict(dict)
    for contact in way.reach.shut_out:
        by = cleaned.get(contact.cleaned_by or 0)
        if by is None:
            continue
        for step in way.beyond(contact).contains - way.reach.contains - touched:
            found[step][by.step] = by
    return {step: tuple(each[pk] for pk in sorted(each)) for step, each in found.items()}


def clean_downs(step_ids: Iterable[int]) -> dict[int, Cleaned]:
    """Return clean-downs by their step."""
    rows = Step.objects.filter(pk__in=list(step_ids)).select_related("equipment")
    return {row.pk: Cleaned(row.equipment.code, row.pk, row.entry_id, row.happened_at) for row in rows if row.equipment}


def series_fact(one: SeriesTrace, counted: CountedPacks | None) -> SeriesFact:
    """Return a series as the arithmetic of a recall takes it."""
    return SeriesFact(
        series=one.series, run_code=f"{one.lot.name} ({one.run_no})", product=one.product, first_no=one.first_no, last_no=one.last_no,
        step=one.step, lot=one.lot.name, void_count=one.void_count, retained_count=one.here_count if one.retained else 0,
        destroyed_count=one.destroyed_count, on_hand_count=counted.pack_count if counted else None,
    )


def shipment(one: Sent) -> ShipmentFact:
    """Return packs that went out as the arithmetic of a recall takes them."""
    return ShipmentFact(
        series=one.series, consignee=one.consignee, first_no=one.first_no, last_no=one.last_no, count=one.pack_count,
        document=one.document_no, date=one.happened_at.date(), returned_count=one.returned_count,
    )


def consignees(sent: Sequence[Sent]) -> dict[str, Consignee]:
    """Return who received packs, with names and contacts as long as they were not erased."""
    seals = {seal for one in sent for seal in (one.name, one.contact) if seal}
    values = {seal: json.loads(value) for seal, value in PrivateValue.objects.filter(pk__in=seals).values_list("commitment", "value")}
    return {one.consignee: Consignee(one.consignee, called(values.get(one.name)), reached_by(values.get(one.contact))) for one in sent}


def called(name: Any) -> str:
    """Return what somebody is called; of a subscriber name, address and mail stand under one seal."""
    return str(name.get("name", "")) if isinstance(name, dict) else str(name or "")


def reached_by(contact: Any) -> tuple[str, ...]:
    """Return the ways to reach somebody: telephone and mail before anything else."""
    if not isinstance(contact, dict):
        return (str(contact),) if contact else ()
    quick = [contact[key] for key in QUICKEST if contact.get(key)]
    return tuple(str(each) for each in [*quick, *(v for k, v in contact.items() if k not in {*QUICKEST, "name"} and v)])
