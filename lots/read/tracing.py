"""Where from, where to: one lot, or the lots that one step made together, back to the fields and forward to the packs.

*Contains*: recorded flow, with shares of dry mass. *May have touched*: a machine that was not opened and cleaned in
between, with a bound. *Excluded*: looked at, and shut out by a clean-down on every machine that the two share.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.db.models import Q, Sum
from django.db.models.functions import Coalesce

from lots.models import Flow, HarvestFlush, Lot, MillingRun, Step
from lots.read.machines import Passed, all_contacts, passed
from lots.read.names import lot_name
from lots.read.origins import OriginShare, harvests, origins_of
from lots.read.outgoing import SeriesTrace, sent_of, series_of
from lots.read.reaching import Reached, reached
from lots.read.sourcing import dry_mg, runs_of, steps_of_runs
from lots.read.stops import Stop, Stops, gather
from lots.read.trace_records import Cleaned, Excluded, Here, Touched, Trace
from lots.trade.lineage import Contact, Tier

__all__ = ["Trace", "trace", "trace_lots"]
End = tuple[Contact, Reached]


def trace(lot: Lot) -> Trace:
    """Return where a lot comes from and where it went."""
    return trace_lots([lot])


def trace_lots(lots: Sequence[Lot]) -> Trace:
    """Return where the lots of one step come from and where they went. Raises ValueError for lots of several steps."""
    if len({lot.step_id for lot in lots}) != 1:
        raise ValueError("A trace takes the lots of one step; ask for each step on its own.")
    return _Tracing(sorted(lots, key=lambda lot: lot.pk)).traced()


def first_draws(lots: Sequence[Lot]) -> list[int]:
    """Return the steps that took something of lots; in a run also its later steps, which can hold it."""
    draws = Flow.objects.filter(lot__in=[lot.pk for lot in lots], kind=Flow.Kind.IN)
    at = draws.annotate(at=Coalesce("step__corrects_id", "step_id")).values("at").annotate(net=Sum("mass_mg"))
    steps = sorted(at.filter(net__gt=0).order_by().values_list("at", flat=True))
    run_of = runs_of(steps)
    began = {run: min(s for s in steps if run_of[s] == run) for run in set(run_of.values())}
    return sorted(step for step, run in steps_of_runs(began).items() if step >= began[run])


class _Tracing:
    """One trace: both directions first, then everything that a page shows of them."""

    def __init__(self, lots: Sequence[Lot]) -> None:
        self.lots, self.step = lots, lots[0].step_id
        contacts = all_contacts()
        self.back = reached([self.step], contacts, forward=False)
        self.forth = reached(first_draws(lots), contacts, forward=True)
        after = self.after_own(contacts)
        later = steps_of_runs({each.later for each in after if each.cleaned_by is None})
        self.own = reached(sorted(later), contacts, forward=True)
        self.ways = (self.back, self.forth, self.own)
        doors = [(each, way) for way in (self.back, self.forth) for each in way.doors()]
        doors += [(each, self.own) for each in after if each.cleaned_by is None]
        shut = [(each, way) for way in self.ways for each in way.reach.shut_out]
        shut += [(each, self.own) for each in after if each.cleaned_by is not None]
        members = steps_of_runs({way.far(each) for each, way in (*doors, *shut)})
        self.origins = origins_of([self.step, *members])
        self.origins_of_run = {members[step]: self.origins[step] for step in sorted(members) if step in self.origins}
        reach = self.back.reach
        found = HarvestFlush.objects.filter(pk__in=reach.contains | reach.may_have_touched).values_list("pk", flat=True)
        self.harvests = harvests(found)
        self.mine = {o.harvest for o in self.origins.get(self.step, ())}
        self.doors = [end for end in doors if end[1].forward or self.brings(end)]
        self.shut = self.really_shut(shut)
        self.passed = passed([door for door, _ in self.doors])

    def traced(self) -> Trace:
        """Return the whole answer."""
        stops = gather(self.tiers(), [lot.pk for lot in self.lots])
        bounds = self.bounds_forward()
        series = self.series(bounds)
        certain = [one.series for one in series if one.tier is Tier.CONTAINS]
        return Trace(
            lots=tuple(lot_name(lot) for lot in self.lots), step=self.step, dry_mg=self.dry_mg(),
            origins=self.origins.get(self.step, ()), stops=stops.stops, ways=stops.ways, touched=self.touched(stops),
            excluded=self.excluded(stops), series=series, consignments=sent_of(certain), here=self.here(),
            back_steps=self.back.reach.contains, forward_steps=self.forth.reach.contains,
            touched_steps=tuple(sorted(bounds.items())),
        )

    def after_own(self, contacts: Sequence[Contact]) -> list[Contact]:
        """Return the contacts of the run that made the lots with later runs: leaf of theirs stayed on its machine too."""
        own, inside = self.back.run(self.step), {self.forth.run(s) for s in self.forth.reach.contains}
        return [each for each in contacts if each.earlier == own and each.later not in inside]

    # What counts ----------------------------------------------------------------------------------------------------

    def brings(self, end: End) -> bool:
        """Tell whether a door may bring leaf that is not in the lot anyway."""
        return any(o.harvest is None or o.harvest not in self.mine for o in (*self.there(end), *self.behind(end)))

    def there(self, end: End) -> tuple[OriginShare, ...]:
        """Return the harvests in the run at the far end."""
        contact, way = end
        return self.origins_of_run.get(way.far(contact), (OriginShare(1.0),))

    def behind(self, end: End) -> tuple[OriginShare, ...]:
        """Return the harvests that may have come to the far end by contact before, and are not in it anyway."""
        contact, way = end
        if way.forward:
            return ()
        beyond, there = way.beyond(contact), {o.harvest for o in self.there(end)}
        known = (beyond.contains | beyond.may_have_touched) - there - self.mine
        return tuple(self.harvests[step] for step in sorted(known) if step in self.harvests)

    def really_shut(self, shut: Sequence[End]) -> list[End]:
        """Return the excluded ends whose job and leaf do not come in by another way."""
        inside = {way.run(s) for way in self.ways for s in way.reach.contains | way.reach.may_have_touched}
        far = {way.far(each) for each, way in shut}
        jobs = dict(MillingRun.objects.filter(pk__in=inside | far).exclude(job="").values_list("pk", "job"))
        busy = {jobs[run] for run in inside if run in jobs}
        beside = {way.run(s) for way in self.ways for s in way.reach.contains} | {way.far(d) for d, way in self.doors}
        return [
            (each, way) for each, way in shut
            if way.near(each) in beside and jobs.get(way.far(each)) not in busy and not self.meets((each, way))
        ]

    def meets(self, end: End) -> bool:
        """Tell whether all leaf of an excluded run meets the lot's, or may have met it, by another way."""
        touched = {o.harvest for door in self.doors if door[1].forward for o in self.there(door)}
        others = touched if end[1].forward else set(self.harvests)
        return all(o.harvest in others for o in self.there(end))

    # Tiers ----------------------------------------------------------------------------------------------------------

    def tiers(self) -> dict[int, Tier]:
        """Return every step that is shown with its tier; a step in several has the gravest."""
        found: dict[int, Tier] = {}
        for tier, ends in ((Tier.EXCLUDED, self.shut), (Tier.TOUCHED, self.doors)):
            for contact, way in ends:
                members = way.members(way.far(contact))
                found |= dict.fromkeys(members if way.forward else way.beyond(contact).contains, tier)
        return {**found, **dict.fromkeys(self.back.reach.contains | self.forth.reach.contains, Tier.CONTAINS)}

    def bounds_forward(self) -> dict[int, int | None]:
        """Return the later steps that contact may have reached, each with the sum of the bounds that lead to it."""
        bounds: dict[int, int | None] = {}
        for contact, way in self.doors:
            if way.forward:
                beyond = way.beyond(contact)
                for step in (beyond.contains | beyond.may_have_touched) - self.forth.reach.contains - {self.step}:
                    bounds[step] = added(bounds.get(step, 0), self.passed[contact].bound_mg)
        return bounds

    def series(self, bounds: Mapping[int, int | None]) -> tuple[SeriesTrace, ...]:
        """Return the traced lots' own series, those made of them, and those that contact may have reached."""
        holders = dict.fromkeys(self.forth.reach.contains, Tier.CONTAINS)
        own = series_of({self.step: Tier.CONTAINS}, {}, [lot.pk for lot in self.lots])
        return (*own, *series_of(holders, {}), *series_of(dict.fromkeys(bounds, Tier.TOUCHED), bounds))

    # Records --------------------------------------------------------------------------------------------------------

    def touched(self, stops: Stops) -> tuple[Touched, ...]:
        """Return the doors, those between the same two stops together."""
        grouped: dict[tuple[str, str, bool], list[End]] = defaultdict(list)
        for contact, way in self.doors:
            keys = (stop_key(stops, way, contact.earlier), stop_key(stops, way, contact.later))
            grouped[*keys, way.forward].append((contact, way))
        return tuple(self.one_touched(stops, keys, ends) for keys, ends in grouped.items())

    def one_touched(self, stops: Stops, keys: tuple[str, str, bool], ends: Sequence[End]) -> Touched:
        """Return one contact between two stops."""
        earlier, later, forward = keys
        over: list[Passed] = [self.passed[contact] for contact, _ in ends]
        return Touched(
            earlier=earlier, later=later, machines=tuple(sorted({contact.equipment for contact, _ in ends})),
            from_at=by_key(stops, earlier).last_at, to_at=by_key(stops, later).first_at,
            bound_mg=summed([p.bound_mg for p in over]), estimate_mg=summed([p.estimate_mg for p in over]),
            origins=once(o for end in ends for o in self.there(end)),
            behind=once(o for end in ends for o in self.behind(end)), forward=forward,
        )

    def excluded(self, stops: Stops) -> tuple[Excluded, ...]:
        """Return the stops that were shut out, each with every clean-down that does it."""
        steps = Step.objects.filter(pk__in={each.cleaned_by for each, _ in self.shut}).select_related("equipment")
        cleaned = {s.pk: Cleaned(s.equipment.code, s.pk, s.entry_id, s.happened_at) for s in steps if s.equipment}
        grouped: dict[tuple[str, bool], list[End]] = defaultdict(list)
        for each, way in self.shut:
            grouped[stop_key(stops, way, way.far(each)), way.forward].append((each, way))
        return tuple(
            Excluded(
                other=other, ours=stop_key(stops, ends[0][1], ends[0][1].near(ends[0][0])),
                cleaned=tuple(cleaned[pk] for pk in sorted({e.cleaned_by for e, _ in ends if e.cleaned_by})),
                origins=once(o for end in ends for o in self.there(end)), forward=forward,
            )
            for (other, forward), ends in grouped.items()
        )

    def here(self) -> tuple[Here, ...]:
        """Return the traced lots and everything made of them that the book still has."""
        mine = Q(pk__in=[lot.pk for lot in self.lots]) | Q(step__in=self.forth.reach.contains)
        rows = Lot.objects.filter(mine, stock__book_mg__gt=0, stock__emptied=False).select_related("stock").order_by("pk")
        return tuple(Here(lot_name(lot), lot.stock.book_mg) for lot in rows)

    def dry_mg(self) -> float:
        """Return the dry mass that the traced lots had when they were made, corrections included."""
        made = Flow.objects.filter(lot__in=[lot.pk for lot in self.lots], kind=Flow.Kind.OUT)
        return sum(dry_mg(mass, wet) for mass, wet in made.values_list("mass_mg", "moisture_frac"))


def added(first_mg: int | None, second_mg: int | None) -> int | None:
    """Return the sum of two bounds; not known where one of them is not."""
    return None if first_mg is None or second_mg is None else first_mg + second_mg


def summed(masses: Sequence[int | None]) -> int | None:
    """Return the sum of masses; not known where one of them is not."""
    return None if None in masses else sum(m for m in masses if m is not None)


def once(origins: Iterable[OriginShare]) -> tuple[OriginShare, ...]:
    """Return each harvest once, in the order in which it came."""
    return tuple({o.harvest: o for o in origins}.values())


def stop_key(stops: Stops, way: Reached, run: int) -> str:
    """Return the key of the stop that a run belongs to."""
    return next((stops.key_of[step] for step in (run, *way.members(run)) if step in stops.key_of), "")


def by_key(stops: Stops, key: str) -> Stop:
    """Return a stop by its key."""
    return next(s for s in stops.stops if s.key == key)
