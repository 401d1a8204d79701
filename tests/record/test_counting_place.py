"""A whole shelf counted: every lot against the book, what is missed by name, what stood elsewhere stands here."""

from __future__ import annotations

import pytest

from lots.models import Lot, StockCount
from lots.read.places import counted_shelf, last_counts, place_of
from lots.read.verifying import verify_book
from lots.record import counting
from lots.record.acts import Act
from lots.record.counting import Counted
from lots.record.lines import Weight
from tests import factories as make
from tests.house import ShelfCounted, book_mg, put_on, shelf, whole
from tests.record.asking import expect_question, expect_refusal
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def three_lots() -> list[Lot]:
    return [put_on(make.RefinedLeaf()) for _ in range(2)] + [make.RefinedLeaf()]


def test_a_shelf_lot_by_lot_with_what_is_missed_and_what_was_found_there() -> None:
    here, missed, found = three_lots()
    less = Weight(book_mg(here) - 10_000, "S2")
    step = ShelfCounted(counted=[Counted(here.code, less), Counted(found.code, whole(found))])
    told = counted_shelf(step.pk)
    assert [(one.lot.code, one.counted_mg - one.book_mg) for one in told.lots] == [(here.code, -10_000), (found.code, 0)]
    assert [lot.code for lot in told.missed] == [missed.code]
    assert (place_of(found), place_of(missed), book_mg(here)) == ("A1", "A1", less.mass_mg)
    assert set(last_counts()) == {"A1"}
    assert verify_book() == []


def test_an_empty_shelf_is_a_count_too() -> None:
    step = ShelfCounted(place=shelf("B2"), counted=[])
    told = counted_shelf(step.pk)
    assert (told.place, told.lots, told.missed) == ("B2", (), ())


def test_a_lot_far_off_is_asked_about_and_taken_with_a_reason() -> None:
    lot = put_on()
    asked = {"place": "A1", "counted": [Counted(lot.code, Weight(book_mg(lot) - 2_000_000, "S2"))], "happened_at": make.next_moment()}
    expect_question(counting.count_place, "The shelf is", **asked)
    assert StockCount.objects.get().step.questioned != ""
    assert verify_book() == []


def test_the_same_lot_twice_is_refused() -> None:
    lot = put_on()
    asked = {"place": "A1", "counted": [Counted(lot.code, whole(lot))] * 2, "happened_at": make.next_moment()}
    assert expect_refusal(counting.count_place, "stands twice", **asked).field == "counted"


def test_lights_out_before_and_after(monkeypatch: pytest.MonkeyPatch) -> None:
    lot = put_on()
    act, asked = Act("A"), {"place": "A1", "counted": [Counted(lot.code, whole(lot))], "happened_at": make.next_moment()}
    writes = Writes(monkeypatch)
    writes.break_off(before=4)
    with pytest.raises(LightsOut):
        counting.count_place(act, **asked)
    writes.break_off(before=-1)
    assert StockCount.objects.count() == 0
    first = counting.count_place(act, **asked)
    assert counting.count_place(act, **asked).seq == first.seq
    assert StockCount.objects.count() == 1
    assert verify_book() == []
