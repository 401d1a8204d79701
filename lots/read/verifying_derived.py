"""The derived tables against what the book's own rows say: stock, edges, compositions, reach of holds, faces of packs."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Mapping
from math import isclose

from lots.genealogy.composition import UNKNOWN, mix
from lots.models import (
    Composition,
    Edge,
    Flow,
    GoodsReceipt,
    HarvestFlush,
    Hold,
    HoldReach,
    Lot,
    OpeningStock,
    Origin,
    PackedUnit,
    PackFace,
    Step,
    Stock,
)
from lots.read.faces import faces
from lots.read.holding import held_steps, standing
from lots.read.sourcing import book_masses, sources

Tell = Callable[[str, int, int], None]
CHUNK = 400


def derived_faults(tell: Tell) -> list[str]:
    """Return every place where a derived table differs from what it is derived of."""
    return [*stock_faults(), *graph_faults(tell), *hold_faults(), *face_faults()]


def stock_faults() -> list[str]:
    """Compare stock with the sum of each lot's lines."""
    told = book_masses("lot__code")
    stand = dict(Stock.objects.values_list("lot__code", "book_mg"))
    lots = set(Lot.objects.values_list("code", flat=True))
    return [
        f"Stock of lot {code}: the book's lines make {told.get(code, 0)} mg, {stand.get(code, 'nothing')} stands."
        for code in sorted(lots)
        if told.get(code, 0) != stand.get(code)
    ]


def graph_faults(tell: Tell) -> list[str]:
    """Compare edges, origins and compositions with those worked out anew from the flows."""
    opened = Lot.objects.values("step")
    drew = Flow.objects.filter(kind=Flow.Kind.IN).exclude(step__stage="correcting").values("step")
    ids = sorted(set(Step.objects.filter(pk__in=opened).values_list("pk", flat=True)) | set(drew.values_list("step", flat=True)))
    anew = Anew()
    faults: list[str] = []
    for start in range(0, len(ids), CHUNK):
        part = ids[start : start + CHUNK]
        anew.take(part, sources(part))
        faults += edge_faults(part, anew.given)
        anew.given = {}
        tell("derived steps", min(start + CHUNK, len(ids)), len(ids))
    return faults + anew.faults()


def edge_faults(ids: list[int], given: Mapping[int, Mapping[int, float]]) -> list[str]:
    """Compare the edges of some steps."""
    told = {(s, source): mass / sum(m.values()) for s, m in given.items() for source, mass in m.items()}
    rows = Edge.objects.filter(step__in=ids).values_list("step_id", "source_id", "share_frac")
    stand = {(s, source): share for s, source, share in rows}
    return [
        f"edge {source} to {step}: share {stand.get((step, source))} stands, the flows say {told.get((step, source))}."
        for step, source in sorted(told.keys() | stand.keys())
        if not alike(told.get((step, source)), stand.get((step, source)))
    ]


def alike(one: float | None, other: float | None) -> bool:
    """Return whether two shares are the same but for rounding."""
    return one is other or (one is not None and other is not None and isclose(one, other, rel_tol=1e-9, abs_tol=1e-12))


class Anew:
    """Works out origins and compositions in memory, in order of id."""

    def __init__(self) -> None:
        self.held: dict[int, int] = {}
        self.shares: dict[int, dict[int, float]] = {}
        self.given: dict[int, dict[int, float]] = {}

    def take(self, ids: list[int], given: dict[int, dict[int, float]]) -> None:
        """Work out some more steps."""
        self.given = given
        harvests = set(HarvestFlush.objects.filter(pk__in=ids).values_list("pk", flat=True))
        unknown = {pk for table in (GoodsReceipt, OpeningStock) for pk in table.objects.filter(pk__in=ids).values_list("pk", flat=True)}
        for step in ids:
            holders = {self.held.get(s, s) for s in given.get(step, ())}
            if step in harvests:
                self.keep(step, {step: 1.0})
            elif step in unknown:
                self.keep(step, {UNKNOWN: 1.0})
            elif len(holders) == 1:
                self.held[step] = holders.pop()
            elif holders:
                parts = [(m, self.of(s)) for s, m in sorted(given[step].items())]
                self.keep(step, mix(parts))

    def keep(self, step: int, shares: dict[int, float]) -> None:
        """Hold a composition under its own step."""
        self.held[step], self.shares[step] = step, shares

    def of(self, step: int) -> Mapping[int, float]:
        """Return the composition of a step."""
        return self.shares.get(self.held.get(step, step)) or {UNKNOWN: 1.0}

    def faults(self) -> list[str]:
        """Compare with the tables."""
        stand = dict(Origin.objects.values_list("step_id", "held_by_id"))
        found = [
            f"origin of step {s}: {stand.get(s)} stands, the flows say {self.held.get(s)}."
            for s in sorted(stand.keys() | self.held.keys())
            if stand.get(s) != self.held.get(s)
        ]
        rows: dict[int, dict[int, float]] = defaultdict(dict)
        for step, harvest, share in Composition.objects.values_list("held_by_id", "harvest_id", "share_frac"):
            rows[step][harvest or UNKNOWN] = share
        plots = dict(HarvestFlush.objects.values_list("pk", "plot__code"))
        named = Composition.objects.values_list("held_by_id", "harvest_id", "plot_code")
        found += [f"composition of step {s}: plot {code} stands for harvest {h}." for s, h, code in named if plots.get(h, "") != code]
        return found + [
            f"composition of step {s}: {rows.get(s)} stands, the flows say {self.shares.get(s)}."
            for s in sorted(rows.keys() | self.shares.keys())
            if not same_shares(rows.get(s, {}), self.shares.get(s, {}))
        ]


def same_shares(one: Mapping[int, float], other: Mapping[int, float]) -> bool:
    """Return whether two compositions are the same but for rounding."""
    return one.keys() == other.keys() and all(alike(one[k], other[k]) for k in one)


def hold_faults() -> list[str]:
    """Compare how far each standing hold reaches."""
    faults = []
    for hold in Hold.objects.filter(standing()).select_related("lot"):
        told = set(held_steps(hold))
        stand = set(HoldReach.objects.filter(hold=hold).values_list("step_id", flat=True))
        if told != stand:
            faults.append(f"Hold {hold.pk} of lot {hold.lot}: it reaches steps {sorted(told)}, {sorted(stand)} stand.")
    return faults


def face_faults() -> list[str]:
    """Compare the facts behind each pack's page."""
    told = faces(PackedUnit.objects.values_list("pk", flat=True))
    stand = dict(PackFace.objects.values_list("unit_id", "facts"))
    return [
        f"Page of packed unit {pk}: its facts are not what the book says."
        for pk in sorted(told.keys() | stand.keys())
        if pk not in told or pk not in stand or json.loads(told[pk]) != json.loads(stand[pk])
    ]
