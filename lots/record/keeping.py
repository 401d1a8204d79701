"""Kept samples: where they stand and until when, rounds past them, and their disposal before a witness."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Flow, PackedUnit, PackMove, SampleDisposal, SamplePlace, SampleRound, SampleSeen, Staff, Step
from lots.read.holding import holds_on_lot
from lots.read.series import series_state
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import Lines, Weight, opening_flow, taken_over
from lots.record.series import find_series
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Seen:
    """Samples that a round met: the lot of their series, and how many (None: all that the book has of it)."""

    lot: str
    pack_count: int | None = None


@act("keeping.place")
def place(w: Writing, *, lot: str, place: str, happened_at: dt.datetime | None = None) -> None:
    """Record where the kept samples of a series stand. Until when they stay follows from best-before and the product's rule."""
    unit = find_kept(lot)
    if not place.strip():
        raise Refused(_("Say where the samples stand: room, shelf, box."), "place")
    step = w.step("keeping", "place", happened_at)
    w.touch(unit.lot)
    w.add(SamplePlace(step=step, unit=unit, place=place.strip(), keep_until_on=keep_until_on(unit)))


def find_kept(lot: str, field: str = "lot") -> PackedUnit:
    """Return a series of kept samples, or refuse packs that are for sale."""
    unit = find_series(lot, field)
    if not unit.retained:
        raise Refused(_("%(lot)s are packs for sale, not kept samples. Scan a kept sample.") % {"lot": unit.lot}, field)
    return unit


def keep_until_on(unit: PackedUnit) -> dt.date:
    """Return until when samples of a series must stay: so many days longer than they are best."""
    return unit.best_before_on + dt.timedelta(days=unit.product.sample_days)


@act("keeping.round")
def walk_round(w: Writing, *, seen: Sequence[Seen], happened_at: dt.datetime | None = None) -> None:
    """Record a walk past all kept samples: what was met of each series. What was not scanned is missing."""
    if not seen:
        raise Refused(_("Scan the samples that stand there, at least one."), "seen")
    step = w.step("keeping", "round", happened_at)
    there = {unit.pk: unit for unit in PackedUnit.objects.filter(retained=True).select_related("lot", "product").order_by("pk")}
    expected = {pk: series_state(unit).here_count for pk, unit in there.items()}
    met: Counter[int] = Counter()
    for one in seen:
        unit = find_kept(one.lot, "seen")
        met[unit.pk] += one.pack_count if one.pack_count is not None else expected[unit.pk]
    for pk, unit in there.items():
        if expected[pk] or met[pk]:
            ask_about_more(w, unit, expected[pk], met[pk])
            w.touch(unit.lot)
            w.add(SampleSeen(step=step, unit=unit, expected_count=expected[pk], seen_count=met[pk]))
    w.add(SampleRound(step=step, expected_count=sum(expected.values()), seen_count=met.total()))


def ask_about_more(w: Writing, unit: PackedUnit, expected_count: int, seen_count: int) -> None:
    """Ask about samples that the book does not have."""
    if seen_count > expected_count:
        msg = _("%(seen)s samples of %(lot)s were met, and the book has %(expected)s. Look at their labels again.")
        w.question(msg % {"seen": seen_count, "lot": unit.lot, "expected": expected_count}, "seen")


@act("keeping.dispose")
def dispose(
    w: Writing, *, lot: str, pack_count: int, how: str, witness: str, happened_at: dt.datetime | None = None,
) -> None:
    """Record kept samples that are thrown away before a witness, who is another person than the one who records it."""
    unit = find_kept(lot)
    here_count = series_state(unit).here_count
    if not 1 <= pack_count <= here_count:
        msg = _("%(asked)s samples of %(lot)s cannot be disposed of: %(here)s are here.")
        raise Refused(msg % {"asked": pack_count, "lot": unit.lot, "here": here_count}, "pack_count")
    if not how.strip():
        raise Refused(_("Say what was done with the samples."), "how")
    seen_by = w.in_force(Staff, witness, "staff", "witness")
    if seen_by.code == w.badge:
        raise Refused(_("The witness is another person than the one who writes it down."), "witness")
    step = w.step("keeping", "dispose", happened_at)
    ask_about_early(w, unit, step)
    draw_samples(w, step, unit, pack_count, here_count)
    w.add(SampleDisposal(step=step, unit=unit, pack_count=pack_count, how=how.strip(), witness=seen_by))
    w.add(PackMove(step=step, unit=unit, fate=PackMove.Fate.DESTROYED, pack_count=pack_count))


def ask_about_early(w: Writing, unit: PackedUnit, step: Step) -> None:
    """Ask about samples whose time is not over, or whose leaf is stopped: they may be needed as evidence."""
    until_on, day = keep_until_on(unit), timezone.localtime(step.happened_at).date()
    if day <= until_on:
        w.question(_("The samples of %(lot)s must stay until %(until)s.") % {"lot": unit.lot, "until": until_on}, "lot")
    if holds_on_lot(unit.lot):
        w.question(_("Lot %(lot)s is stopped: its samples may still be needed as evidence.") % {"lot": unit.lot}, "lot")


def draw_samples(w: Writing, step: Step, unit: PackedUnit, pack_count: int, here_count: int) -> None:
    """Take the samples' share of what the book has of their series, and book it as disposed of."""
    lines, first = Lines(w, step), opening_flow(unit.lot)
    mass_mg = round(max(0, lines.book_mg(unit.lot)) * pack_count / here_count)
    wet = taken_over(first)
    w.flow(
        step=step, kind=Flow.Kind.IN, role="packs", lot=unit.lot, mass_mg=mass_mg, reading_count=0, empties=pack_count == here_count, **wet,
    )
    lines.lose("disposed", Weight(mass_mg, "", 0), wet)
