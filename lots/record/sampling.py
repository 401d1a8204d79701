"""Samples for a laboratory: taken from a lot, sealed, and out of the book's stock from then on."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import Flow, Lot, PackedUnit, PackMove, Party, SampleTaken
from lots.read.loose import loose
from lots.read.results import sample_named
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.leaving import Packs, draw_share, going_out, move, refuse_not_here
from lots.record.lines import Lines, Weight, find_lot, opening_flow, taken_over
from lots.record.writing import Writing


@act("sampling.take")
def take(
    w: Writing,
    *,
    lot: str,
    sample_no: str,
    method: str,
    mass: Weight | None = None,
    pack_count: int = 0,
    taker: str = "",
    seal_no: str = "",
    laboratory: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a sample: a mass of leaf or powder, or whole packs of a series. It leaves the lot and is gone for the balance."""
    found = find_lot(lot)
    if not sample_no.strip():
        raise Refused(_("Write the number that stands on the bag of the sample."), "sample_no")
    if not method.strip():
        raise Refused(_("Say how the sample was taken, such as ISO 1839."), "method")
    if sample_named(sample_no) is not None:
        w.question(_("A sample %(number)s is in the book already. Look at the bag again.") % {"number": sample_no.strip()}, "sample_no")
    step = w.step("sampling", "take", happened_at)
    unit = PackedUnit.objects.select_related("lot", "product").filter(lot=found).first()
    lines = Lines(w, step)
    if unit is not None:
        take_packs(w, lines, unit, pack_count)
    else:
        take_mass(lines, found, mass)
    w.add(SampleTaken(
        step=step, lot=found, sample_no=sample_no.strip(), method=method.strip(), taker=w.seal(taker.strip()), seal_no=seal_no.strip(),
        laboratory=w.in_force(Party, laboratory, "parties", "laboratory") if laboratory else None,
    ))


def take_mass(lines: Lines, lot: Lot, mass: Weight | None) -> None:
    """Take a mass of a lot and book it as a sample."""
    if mass is None or mass.mass_mg <= 0:
        raise Refused(_("How much was taken as a sample? Weigh it."), "mass_mg")
    lines.draw(lot, mass)
    lines.lose("sample", mass, taken_over(opening_flow(lot)))


def take_packs(w: Writing, lines: Lines, unit: PackedUnit, pack_count: int) -> None:
    """Take whole packs of a series; they are opened by the laboratory and do not come back."""
    if pack_count < 1:
        raise Refused(_("How many packs were taken as a sample? At least one."), "pack_count")
    packs = Packs(unit.lot.code, pack_count)
    refuse_not_here(unit, loose(unit, going_out(w, unit)), packs)
    move(w, lines.step, unit, packs, PackMove.Fate.DESTROYED)
    draw_share(w, lines, unit)
    drawn = w.rows_of(Flow)[-1]
    w.flow(
        step=lines.step, kind=Flow.Kind.LOST, role="sample", lot=None, mass_mg=drawn.mass_mg, reading_count=0,
        **taken_over(opening_flow(unit.lot)),
    )
