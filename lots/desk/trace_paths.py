"""A trace as a table of paths, and as a list in which every step stands under the one that it comes from or goes to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from lots.desk.saying import share_text
from lots.desk.stop_words import stop_days, stop_name, stop_sentence, stop_way
from lots.desk.trace_sheet import bound_text
from lots.desk.words import mass, stage_word
from lots.read.origins import OriginShare
from lots.read.stops import Stop
from lots.read.trace_records import Trace
from lots.trade.lineage import Tier
from lots.trade.stages import STAGES

#: The stages of the table's columns, in order of the drawing.
COLUMNS = tuple(s.key for s in sorted((s for s in STAGES.values() if s.column), key=lambda s: s.column or 0) if s.key != "dispatch")
PATHS_MAX = 200


@dataclass(frozen=True, slots=True)
class PathRow:
    """One path: tier, plot, the stops of each stage by name, and the share or bound."""

    tier: Tier
    plot: str
    stops: tuple[str, ...]
    share: str


@dataclass(slots=True)
class Branch:
    """One stop in the list, with what lies under it. ``said`` tells that it stood above already."""

    what: str
    sentence: str
    href: str
    said: bool = False
    under: list[Branch] = field(default_factory=list)


def columns() -> list[str]:
    """Return the headings of the stages."""
    return [stage_word(stage) for stage in COLUMNS]


class Paths:
    """Walks the stops of one trace."""

    def __init__(self, traced: Trace) -> None:
        self.trace = traced
        self.stops = {stop.key: stop for stop in traced.stops}
        self.sources: Mapping[str, list[str]] = defaultdict(list)
        self.targets: Mapping[str, list[str]] = defaultdict(list)
        for way in traced.ways:
            self.sources[way.target].append(way.source)
            self.targets[way.source].append(way.target)
        self.mass_mg = {(way.source, way.target): way.mass_mg for way in traced.ways}

    # Table ----------------------------------------------------------------------------------------------------------

    def rows(self) -> list[PathRow]:
        """Return one row for each harvest in each tier, at most some hundred."""
        found = [self.row(Tier.CONTAINS, o, self.trace.own_key, share_text(o.share_frac)) for o in self.trace.origins]
        for touched in self.trace.touched:
            if not touched.forward:
                found += [self.row(Tier.TOUCHED, o, touched.other, bound_text(touched)) for o in touched.origins]
        for excluded in self.trace.excluded:
            if not excluded.forward:
                found += [self.row(Tier.EXCLUDED, o, excluded.other, _("nothing")) for o in excluded.origins]
        return found[:PATHS_MAX]

    def row(self, tier: Tier, origin: OriginShare, end: str, share: str) -> PathRow:
        """Return the path of one harvest to a stop."""
        on_way = self.above(end) & self.below(origin.harvest)
        names = [", ".join(s.name for s in self.trace.stops if s.key in on_way and s.stage == stage) for stage in COLUMNS]
        plot = f"{origin.plot} {origin.plot_name}".strip() if origin.harvest is not None else _("not known")
        return PathRow(tier, plot, tuple(names), share)

    def reached(self, starts: Iterable[str], hops: Mapping[str, list[str]]) -> set[str]:
        """Return the stops that can be reached over hops, starts included."""
        found: set[str] = set()
        waiting = list(starts)
        while waiting:
            key = waiting.pop()
            if key not in found:
                found.add(key)
                waiting.extend(hops.get(key, ()))
        return found

    def above(self, key: str) -> set[str]:
        """Return a stop and everything before it."""
        return self.reached([key], self.sources)

    def below(self, harvest: int | None) -> set[str]:
        """Return a harvest's stops and everything after them."""
        return self.reached([s.key for s in self.trace.stops if harvest in s.steps], self.targets)

    # List -----------------------------------------------------------------------------------------------------------

    def back(self) -> list[Branch]:
        """Return everything that the lot comes from, step under step."""
        return self.branches(self.trace.own_key, self.sources, set(), backwards=True)

    def forth(self) -> list[Branch]:
        """Return everything that was made of the lot, step under step."""
        return self.branches(self.trace.own_key, self.targets, set(), backwards=False)

    def branches(self, key: str, hops: Mapping[str, list[str]], seen: set[str], *, backwards: bool) -> list[Branch]:
        """Return what lies one hop further, each with what lies behind it; what stood above is only named."""
        found = []
        for other in sorted(hops.get(key, ()), key=lambda k: self.stops[k].steps[0]):
            stop = self.stops[other]
            if stop.tier is not Tier.CONTAINS:
                continue
            pair = (other, key) if backwards else (key, other)
            branch = self.branch(stop, self.mass_mg.get(pair, 0), said=other in seen)
            if other not in seen:
                seen.add(other)
                branch.under = self.branches(other, hops, seen, backwards=backwards)
            found.append(branch)
        return found

    def branch(self, stop: Stop, mass_mg: int, *, said: bool) -> Branch:
        """Return one stop of the list."""
        over = _("%(mass)s went over") % {"mass": mass(mass_mg)} if mass_mg and mass_mg != stop.out_mg else ""
        more = _("told above") if said else stop_sentence(stop).rstrip(".。")
        told = _("%(days)s; %(rest)s.") % {"days": stop_days(stop), "rest": _("; ").join(p for p in (over, more) if p)}
        what = _("%(stage)s: %(name)s") % {"stage": stage_word(stop.stage), "name": stop_name(stop)}
        return Branch(what, told, stop_way(stop)[0], said=said)
