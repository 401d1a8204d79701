"""Magnet and metal detector: a piece that is not seen stops all since its last good test, in the same act."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from lots.models import Hold, MetalFind, PieceTest
from lots.read.detecting import pieces_due, pieces_now, stopped_by
from lots.read.verifying import verify_book
from lots.record import detecting
from lots.record.acts import Act
from tests import factories as make
from tests.checks import Found, PieceSent, enter_detector
from tests.record.asking import expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def test_a_piece_that_is_seen_stops_nothing() -> None:
    make.Sieved()
    row = PieceTest.objects.get(step=PieceSent())
    assert (row.piece.code, row.seen, row.last_good, Hold.objects.count()) == ("FE15", True, None, 0)
    assert verify_book() == []


def test_a_piece_that_is_not_seen_stops_what_came_through_since_its_last_good_test() -> None:
    before = make.Sieved()
    piece = enter_detector(line="SIEVE1")
    good = PieceSent(piece=piece)
    sieved = make.Sieved(lots=make.mill(job="J2").tubs)
    make.Packed(lots=[sieved])
    failed = PieceSent(piece=piece, seen=False)
    holds = Hold.objects.filter(entry=failed.entry_id)
    held = {hold.lot_id for hold in holds}
    assert sieved.pk in held
    assert before.pk not in held
    assert {hold.lot.step_id for hold in holds} == {sieved.step_id}
    reason = holds[0].reason
    assert reason.startswith("Test piece FE15 (iron, 1.5 mm) was not seen by MD-FE15 at ")
    assert f"{timezone.localtime(good.happened_at):%Y-%m-%d %H:%M}" in reason
    assert f"{timezone.localtime(failed.happened_at):%Y-%m-%d %H:%M}" in reason
    stopped = stopped_by(failed.entry_id)
    assert (stopped.lot_count, stopped.pack_count) == (2, 27)
    assert PieceTest.objects.get(step=failed).last_good == good
    assert verify_book() == []


def test_what_a_piece_stopped_is_not_stopped_by_it_twice() -> None:
    make.Sieved()
    piece = enter_detector()
    first = PieceSent(piece=piece, seen=False)
    assert stopped_by(first.entry_id).lot_count == 2
    assert "no good test of it stands before" in Hold.objects.first().reason
    assert stopped_by(PieceSent(piece=piece, seen=False).entry_id).lot_count == 0
    assert stopped_by(PieceSent(piece=enter_detector("SS20"), seen=False).entry_id).lot_count == 2
    assert verify_book() == []


def test_a_good_test_that_was_taken_back_is_no_good_test() -> None:
    piece = enter_detector()
    good = PieceSent(piece=piece)
    take_back(good)
    assert PieceTest.objects.get(step=PieceSent(piece=piece, seen=False)).last_good is None
    assert verify_book() == []


def test_a_find_stops_its_lot() -> None:
    step = Found()
    row = MetalFind.objects.get(step=step)
    hold = Hold.objects.get(lot=row.lot)
    assert (row.what, str(row.size_mm), hold.kind) == ("splinter of steel", "0.8", "hold")
    assert hold.reason == f"SIEVE1 found splinter of steel in lot {row.lot}."
    assert verify_book() == []


def test_a_piece_is_due_an_hour_after_while_the_line_runs() -> None:
    piece = enter_detector(line="SIEVE1")
    assert pieces_due(timezone.now()) == []
    make.Sieved()
    ran_at = make.next_moment() - dt.timedelta(minutes=make.ACT_MINUTES)
    due, = pieces_due(ran_at + dt.timedelta(minutes=5))
    assert (due.code, due.machine, due.good_at) == (piece, "MD-FE15", None)
    good = PieceSent(piece=piece)
    assert pieces_due(good.happened_at + dt.timedelta(hours=2)) == []
    sieved = make.Sieved(lots=make.mill(job="J2").tubs)
    at = sieved.step.happened_at
    assert [one.code for one in pieces_due(max(at, good.happened_at + dt.timedelta(hours=1)))] == [piece]
    assert pieces_due(at + dt.timedelta(hours=5)) == []
    assert [(p.code, p.size_mm, p.seen) for p in pieces_now()] == [("FE15", "1.5", True)]


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"what": " "}, "Say what was found", "what"), ({"lot": "X9"}, "No lot", "lot"),
    ({"equipment": "MD9"}, "register of machines", "equipment"), ({"size_mm": make.Decimal(0)}, "larger than nothing", "size_mm"),
])
def test_what_cannot_be_understood_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"equipment": "SIEVE1", "lot": make.CrudeLeaf().code, "what": "wire"} | other
    assert expect_refusal(detecting.find, match, **asked).field == field


def test_a_piece_that_nobody_knows_is_refused() -> None:
    assert expect_refusal(detecting.send_through, "register of test pieces", piece="X", seen=True).field == "piece"


def test_the_power_goes_and_nothing_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    make.Sieved()
    asked = {"piece": enter_detector(), "seen": False, "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            detecting.send_through(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = detecting.send_through(act, **asked), detecting.send_through(act, **asked)
    assert (again.seq, again.repeated, stopped_by(first.seq).lot_count) == (first.seq, True, 2)
    assert verify_book() == []
