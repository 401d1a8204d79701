"""Detectors: the last good test of a piece, what went through since, what a failed test stopped, which tests are due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Max, Q, QuerySet

from lots.models import Flow, Hold, HoldReach, Lot, PackedUnit, PieceTest, Step, TestPiece
from lots.read.balances import not_taken_back
from lots.read.holding import standing
from lots.read.registers import in_force

#: Through a detector goes what is sieved and what is packed.
THROUGH = ("sieving", "packing")
#: While that goes on, each piece is sent through so often.
EVERY_H = 1
#: For so long after its last step a line counts as running. Common practice, no source.
RUNS_H = 4


@dataclass(frozen=True, slots=True)
class Stopped:
    """What one act stopped: lots, and packs in them or made of them."""

    lot_count: int
    pack_count: int


@dataclass(frozen=True, slots=True)
class PieceDue:
    """A piece that should have been sent through by now; ``good_at`` None: it never was seen."""

    code: str
    machine: str
    good_at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class PieceNow:
    """A piece of the register with its newest test."""

    code: str
    metal: str
    size_mm: str
    machine: str
    tested_at: dt.datetime | None
    seen: bool | None


def standing_tests() -> QuerySet[PieceTest, PieceTest]:
    """Return the tests that were not taken back."""
    return PieceTest.objects.filter(step__in=Step.objects.filter(not_taken_back(), stage="detecting").values("pk"))


def last_good(piece: str, before: dt.datetime) -> Step | None:
    """Return the last test before a moment in which a piece was seen."""
    rows = standing_tests().filter(piece__code=piece, seen=True, step__happened_at__lte=before).select_related("step")
    found = rows.order_by("-step__happened_at", "-pk").first()
    return found.step if found else None


def steps_of_line(piece: TestPiece) -> QuerySet[Step, Step]:
    """Return the steps whose output goes through the detector of a piece; where no machine is named, every sieve and filler."""
    rows = Step.objects.filter(not_taken_back(), stage__in=THROUGH)
    return rows.filter(equipment__code=piece.line.code) if piece.line else rows


def lots_through(piece: TestPiece, since: dt.datetime | None, until: dt.datetime) -> list[Lot]:
    """Return the lots that came through a line between two moments, both included; from the first of the book without ``since``."""
    steps = steps_of_line(piece).filter(happened_at__lte=until)
    if since is not None:
        steps = steps.filter(happened_at__gte=since)
    made = Flow.objects.filter(kind=Flow.Kind.OUT, step__in=steps.values("pk"), lot__isnull=False)
    return list(Lot.objects.filter(pk__in=made.values("lot")).order_by("pk"))


def standing_lots_of(piece: str) -> set[int]:
    """Return the lots on which a hold by this piece stands."""
    entries = PieceTest.objects.filter(piece__code=piece, seen=False).values("step__entry")
    return set(Hold.objects.filter(standing(), entry__in=entries, entry__kind="detecting.test").values_list("lot", flat=True))


def stopped_by(entry: int) -> Stopped:
    """Return how much the holds of one act stop."""
    holds = Hold.objects.filter(entry=entry)
    lots = set(holds.values_list("lot", flat=True))
    reached = HoldReach.objects.filter(hold__in=holds.values("pk")).values("step")
    units = PackedUnit.objects.filter(Q(lot__in=lots) | Q(step__in=reached))
    return Stopped(len(lots), sum(unit.pack_count for unit in units))


def newest_tests(pieces: Iterable[str], *, seen_only: bool) -> dict[str, PieceTest]:
    """Return the newest test of each piece."""
    rows = standing_tests().filter(piece__code__in=list(pieces)).select_related("step", "piece")
    rows = rows.filter(seen=True) if seen_only else rows
    return {row.piece.code: row for row in rows.order_by("step__happened_at", "pk")}


def pieces_now() -> list[PieceNow]:
    """Return every piece in use with its newest test."""
    pieces = list(in_force(TestPiece).select_related("equipment"))
    tests = newest_tests([p.code for p in pieces], seen_only=False) if pieces else {}
    return [
        PieceNow(p.code, p.metal, f"{p.size_mm.normalize():f}", p.equipment.code,
                 tests[p.code].step.happened_at if p.code in tests else None, tests[p.code].seen if p.code in tests else None)
        for p in pieces
    ]


def pieces_due(now: dt.datetime) -> list[PieceDue]:
    """Return the pieces that are due: their line ran within some hours, more than an hour after (or ever since) a good test."""
    pieces = list(in_force(TestPiece).select_related("equipment", "line"))
    if not pieces:
        return []
    good = newest_tests([p.code for p in pieces], seen_only=True)
    found = []
    for piece in pieces:
        at = good[piece.code].step.happened_at if piece.code in good else None
        ran_at = steps_of_line(piece).filter(happened_at__gt=now - dt.timedelta(hours=RUNS_H)).aggregate(at=Max("happened_at"))["at"]
        if ran_at and (at is None or (ran_at > at and now - at >= dt.timedelta(hours=EVERY_H))):
            found.append(PieceDue(piece.code, piece.equipment.code, at))
    return found
