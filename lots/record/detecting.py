"""Magnet and metal detector: test pieces seen or not, and what was found. A piece that is not seen stops, in the same act, all
that went through that line since its last good test."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Equipment, Hold, MetalFind, PieceTest, Step, TestPiece
from lots.read.detecting import last_good, lots_through, standing_lots_of
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.writing import Writing

REASON_SIGNS_MAX = 400


@act("detecting.test")
def send_through(w: Writing, *, piece: str, seen: bool, happened_at: dt.datetime | None = None) -> None:
    """Record that a test piece went through, and whether it was seen."""
    row = w.in_force(TestPiece, piece, "test pieces", "piece")
    step = w.step("detecting", "test", happened_at, equipment=row.equipment)
    good = None if seen else last_good(row.code, w.happened_at)
    w.add(PieceTest(step=step, piece=row, seen=seen, last_good=good))
    if not seen:
        stop_all_since(w, row, good)


def stop_all_since(w: Writing, piece: TestPiece, good: Step | None) -> None:
    """Hold every lot that came through the line of a piece since its last good test; those that this piece stopped stay stopped."""
    held = standing_lots_of(piece.code)
    reason = reason_of(piece, good, w.happened_at)
    for lot in lots_through(piece, good.happened_at if good else None, w.happened_at):
        if lot.pk not in held:
            w.touch(lot)
            w.add(Hold(lot=lot, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason))


def reason_of(piece: TestPiece, good: Step | None, at: dt.datetime) -> str:
    """Return why the lots are stopped: the piece, and the two times."""
    words = {
        "code": piece.code, "metal": piece.metal, "size": f"{piece.size_mm.normalize():f}", "machine": piece.equipment.code,
        "at": clock(at), "good": clock(good.happened_at) if good else "",
    }
    if good is None:
        msg = _("Test piece %(code)s (%(metal)s, %(size)s mm) was not seen by %(machine)s at %(at)s; no good test of it stands before.")
    else:
        msg = _("Test piece %(code)s (%(metal)s, %(size)s mm) was not seen by %(machine)s at %(at)s; its last good test was at %(good)s.")
    return (msg % words)[:REASON_SIGNS_MAX]


def clock(at: dt.datetime) -> str:
    """Return a moment of the mill as a sentence has it."""
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


@act("detecting.find")
def find(
    w: Writing, *, equipment: str, lot: str, what: str, found_where: str = "", size_mm: Decimal | None = None,
    happened_at: dt.datetime | None = None,
) -> None:
    """Record what a magnet or detector took out of a lot; the lot is stopped."""
    source = find_lot(lot)
    if not what.strip():
        raise Refused(_("Say what was found: a splinter of steel, a hair of wire, a grain of stone."), "what")
    if size_mm is not None and size_mm <= 0:
        raise Refused(_("What was found is larger than nothing. Leave the size open if nobody measured it."), "size_mm")
    machine = w.in_force(Equipment, equipment, "machines", "equipment")
    step = w.step("detecting", "find", happened_at, equipment=machine)
    w.touch(source)
    w.add(MetalFind(step=step, lot=source, what=what.strip(), found_where=found_where.strip(), size_mm=size_mm))
    reason = _("%(machine)s found %(what)s in lot %(lot)s.") % {"machine": machine.code, "what": what.strip(), "lot": source}
    w.add(Hold(lot=source, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason[:REASON_SIGNS_MAX]))
