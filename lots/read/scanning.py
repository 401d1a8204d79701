"""What a scanned text stands for: a lot with its leaf and its stock, or a pack of a series."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet

from lots.codes.links import code_from_scan
from lots.codes.lots import parse_lot_code
from lots.codes.packs import belongs, split
from lots.models import Composition, Flow, HarvestFlush, Lot, Origin, PackedUnit, PackSecret, Step
from lots.read.downgrades import state_of
from lots.read.holding import StandingHold, holds_on_lot
from lots.read.names import lot_name
from lots.read.series import series_state


@dataclass(frozen=True, slots=True)
class LeafSource:
    """One share of a lot: plot, cultivar and state by name, its share of dry mass, round and day of plucking."""

    plot: str
    cultivar: str
    state: str
    share_frac: float
    flush_no: int
    plucked_on: dt.date


@dataclass(frozen=True, slots=True)
class LotFacts:
    """A lot as the desk speaks of it. ``book_mg`` is what the book has left of it; ``moisture_frac`` None: unknown."""

    id: int
    code: str
    name: str
    material: str
    mass_mg: int
    book_mg: int
    emptied: bool
    moisture_frac: float | None
    sources: tuple[LeafSource, ...]
    holds: tuple[StandingHold, ...]
    pack_count: int | None = None
    here_count: int | None = None

    @property
    def used_up(self) -> bool:
        """Whether nothing of it is left in the book."""
        return self.emptied or self.book_mg <= 0


@dataclass(frozen=True, slots=True)
class PackScanned:
    """One pack by its code: the lot of its series, and its number in the run."""

    lot: str
    pack_no: int


def lots_known() -> QuerySet[Lot, Lot]:
    """Return all lots with what a sentence about one of them needs."""
    return Lot.objects.select_related("step", "stock")


def lot_named(text: str) -> Lot | None:
    """Return the lot of a code in any spelling or of the maker's own reference, capitals or not; the oldest of several that stand."""
    code = parse_lot_code(text)
    found = lots_known().filter(code=code).first() if code else None
    wanted = text.strip()
    if found is not None or not wanted or not wanted.isprintable():
        return found
    gone = Exists(Step.objects.filter(corrects=OuterRef("step"), part="reverse"))
    return lots_known().filter(maker_ref__iexact=wanted).order_by(gone, "pk").first()


def pack_scanned(text: str) -> PackScanned | None:
    """Return the pack of a code, or None for one that is not ours."""
    parts = split(code_from_scan(text) or "")
    if parts is None:
        return None
    secret = PackSecret.objects.filter(run_no=parts.run_no).values_list("secret", flat=True).first()
    if secret is None or not belongs(parts, bytes(secret)):
        return None
    here = Q(run_no=parts.run_no, first_no__lte=parts.pack_no, last_no__gte=parts.pack_no)
    unit = PackedUnit.objects.filter(here).select_related("lot").first()
    return PackScanned(unit.lot.code, parts.pack_no) if unit else None


def leaf_sources(step: int) -> tuple[LeafSource, ...]:
    """Return what a step's leaf is made of, the largest share first."""
    holder = Origin.objects.filter(pk=step).values("held_by")
    shares = Composition.objects.filter(held_by__in=holder).order_by("-share_frac", "harvest_id")
    rows = list(shares.values_list("harvest_id", "share_frac"))
    flushes = HarvestFlush.objects.select_related("plot", "cultivar").in_bulk([h for h, _ in rows if h])
    return tuple(
        LeafSource(f.plot.name, f.cultivar.name, state_of(step, [f.plot.state]), share, f.flush_no, f.plucked_on)
        for harvest, share in rows
        if harvest and (f := flushes.get(harvest))
    )


def lot_facts(lot: Lot) -> LotFacts:
    """Return what the desk says of a lot after its code was scanned."""
    name = lot_name(lot)
    opening = Flow.objects.filter(lot=lot.pk, step=lot.step_id, kind=Flow.Kind.OUT)
    wet = opening.values_list("moisture_frac", flat=True).first()
    unit = PackedUnit.objects.filter(lot=lot.pk).first() if lot.material in {"packed_tea", "retained_tea"} else None
    state = series_state(unit) if unit else None
    return LotFacts(
        lot.pk, lot.code, name.name, lot.material, lot.mass_mg, lot.stock.book_mg, lot.stock.emptied,
        None if wet is None else float(wet), leaf_sources(lot.step_id), tuple(holds_on_lot(lot)),
        state.made_count if state else None, state.here_count if state else None,
    )
