"""The traceability plan from what stands in the book now: house, lot rules, plots, keeping, team, and what changed of late."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.models import (
    AuthorityContact,
    FieldPlot,
    House,
    LotRule,
    Planting,
    RecallTeam,
    Register,
    RetentionRule,
)
from lots.read.names import opened
from lots.read.paper_heads import PaperHead, paper_head
from lots.read.recall_team import Duty, authorities, duties, trial_due_on
from lots.read.registers import in_force
from lots.read.retention import KindKept, kinds_kept

#: Whose versions the plan names: 21 CFR 1.1315(b) keeps earlier plans for two years.
OF_THE_PLAN: tuple[type[Register], ...] = (House, LotRule, FieldPlot, RetentionRule, RecallTeam, AuthorityContact)
VERSION_DAYS = 731


@dataclass(frozen=True, slots=True)
class PlotFacts:
    """A plot of the plot map."""

    code: str
    name: str
    grower: str
    area_a: float
    state: str
    cultivars: tuple[str, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Version:
    """A version of something that the plan speaks of."""

    table: str
    code: str
    version: int
    valid_from_at: dt.datetime
    entry: int


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that the plan is made of."""

    head: PaperHead
    lot_rules: tuple[LotRule, ...]
    plots: tuple[PlotFacts, ...]
    kinds: tuple[KindKept, ...]
    team: tuple[Duty, ...]
    trial_due_on: dt.date | None
    authorities: tuple[AuthorityContact, ...]
    versions: tuple[Version, ...]


def plan(now: dt.datetime) -> Plan:
    """Return the plan as of now."""
    team = duties()
    return Plan(
        paper_head(), tuple(in_force(LotRule)), plots(), tuple(kinds_kept()), tuple(team), trial_due_on([d.tested_on for d in team]),
        tuple(authorities()), versions(now),
    )


def plots() -> tuple[PlotFacts, ...]:
    """Return the plots in use with their cultivars and places."""
    rows = list(in_force(FieldPlot).select_related("grower"))
    told = opened(seal for row in rows for seal in (row.place, row.grower.name if row.grower else ""))
    stands: dict[str, list[str]] = {}
    for planting in in_force(Planting).select_related("plot", "cultivar"):
        stands.setdefault(planting.plot.code, []).append(planting.cultivar.name)
    return tuple(
        PlotFacts(
            r.code, r.name, told.get(r.grower.name, r.grower.code) if r.grower else "", float(r.area_a), r.state,
            tuple(stands.get(r.code, ())), str(told.get(r.place, "")),
        )
        for r in rows
    )


def versions(now: dt.datetime) -> tuple[Version, ...]:
    """Return the versions of the last two years, the newest first."""
    since = now - dt.timedelta(days=VERSION_DAYS)
    found = []
    for model in OF_THE_PLAN:
        table: str = model._meta.db_table
        rows = model.objects.filter(valid_from_at__gte=since)  # type: ignore[attr-defined]
        found += [Version(table, *row) for row in rows.values_list("code", "version", "valid_from_at", "entry_id")]
    return tuple(sorted(found, key=lambda v: (v.valid_from_at, v.entry), reverse=True))
