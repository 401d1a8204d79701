"""Grit: the first tub after a dressing is stopped in its own act, and let go by a clean check only."""

from __future__ import annotations

import pytest

from lots.models import GritCheck, Hold
from lots.read.grit import grit_waiting
from lots.read.verifying import verify_book
from lots.record import grit, holding, milling, registers
from lots.record.acts import Act
from lots.record.errors import Questioned
from tests import factories as make
from tests.checks import GritLooked, dressed, first_tub
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def test_the_first_tub_after_a_dressing_is_stopped_and_the_second_is_not() -> None:
    dressed()
    first, second = make.mill().tubs
    hold = Hold.objects.get()
    assert (hold.lot, hold.entry_id) == (first, first.step.entry_id)
    assert hold.reason.startswith("First tub of pair SP1 after its stones were apart")
    assert [one.lot.code for one in grit_waiting()] == [first.code]
    assert second.pk > first.pk
    assert verify_book() == []


def test_stones_that_no_register_names_are_not_stopped_by_rule() -> None:
    dressed("SP1", registered=False)
    make.mill()
    assert Hold.objects.count() == 0


def test_a_first_tub_that_was_taken_back_is_none() -> None:
    dressed()
    make.Load()
    take_back(make.Tub().step)
    again = make.Tub()
    assert Hold.objects.filter(lot=again).exists()
    assert verify_book() == []


def test_a_clean_check_lets_the_tub_go() -> None:
    tub = first_tub()
    step = GritLooked(lot=tub)
    row = GritCheck.objects.get(step=step)
    release = Hold.objects.get(kind="release")
    assert (row.clean, release.ends.lot, release.entry_id) == (True, tub, step.entry_id)
    assert release.reason == "Grit check: clean. Rubbed between glass plates, ten pinches"
    assert grit_waiting() == []
    assert verify_book() == []


def test_grit_keeps_the_tub_stopped() -> None:
    tub = first_tub()
    GritLooked(lot=tub, clean=False)
    waiting, = grit_waiting()
    assert (waiting.lot.code, waiting.found) == (tub.code, True)
    asked = {"lot": tub.code, "clean": True, "looked": "Settled in water", "happened_at": make.next_moment()}
    expect_question(grit.check, "Grit was found in lot", badge="C", **asked)
    assert grit_waiting() == []
    assert verify_book() == []


def test_grit_in_a_tub_that_nothing_stopped_stops_it() -> None:
    tub = make.mill().tubs[1]
    GritLooked(lot=tub, clean=False)
    assert [hold.lot for hold in Hold.objects.all()] == [tub]
    assert verify_book() == []


def test_no_other_word_lets_it_go() -> None:
    first_tub()
    hold = Hold.objects.get()
    assert expect_refusal(holding.release, "waits for its grit check", hold=hold.pk, reason="Looks well").field == "hold"
    assert expect_refusal(grit.check, "Say how", lot=hold.lot.code, clean=True, looked=" ").field == "looked"


def test_stones_that_never_ran_together_are_asked_about() -> None:
    fields = {"equipment": "SP1", "upper": "U1", "lower": "L2", "dressed_h": make.Decimal(0)}
    with pytest.raises(Questioned, match="never ran together"):
        registers.enter(Act("F"), table="stone_pair", code="SP1", fields=fields)
    make.enter("stone_pair", "SP1", **fields | {"lower": "L9"})
    make.enter("stone_pair", "SP1", **fields | {"lower": "L1"})
    registers.enter(Act("F", reason="Swapped on purpose"), table="stone_pair", code="SP1", fields=fields)
    assert verify_book() == []


def test_the_power_goes_and_nothing_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    dressed()
    make.Load()
    asked = {"pair": "SP1", "powder": make.kg("0.886"), "ground_h": make.Decimal(22), "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            milling.tub(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = milling.tub(act, **asked), milling.tub(act, **asked)
    assert (again.seq, again.repeated, Hold.objects.count()) == (first.seq, True, 1)
    assert verify_book() == []
