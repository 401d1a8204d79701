"""Cold shelves: where a lot stands follows from the last scan, and no mass moves."""

from __future__ import annotations

import pytest

from lots.models import Flow, Shelving
from lots.read.places import place_of, standing
from lots.read.verifying import verify_book
from lots.record import shelving
from lots.record.acts import Act
from tests import factories as make
from tests.house import Put, Took, put_on, shelf
from tests.record.asking import expect_question, expect_refusal, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def test_a_lot_stands_where_it_was_put_last_and_nothing_is_weighed() -> None:
    lot = put_on(place="A1")
    Put(lot=lot, place=shelf("B2"))
    one, = standing()
    assert (one.place, one.lot.code, one.book_mg) == ("B2", lot.code, lot.mass_mg)
    assert Flow.objects.filter(step__stage="shelving").count() == 0
    assert verify_book() == []


def test_a_lot_that_was_taken_off_stands_nowhere() -> None:
    lot = put_on()
    Took(lot=lot)
    assert (standing(), place_of(lot)) == ([], "")
    assert verify_book() == []


def test_a_lot_that_stands_elsewhere_is_asked_about() -> None:
    lot = put_on(place="A1")
    asked = {"lot": lot.code, "place": shelf("B2"), "happened_at": make.next_moment()}
    expect_question(shelving.take, "stands on shelf A1 by the book", **asked)
    expect_question(shelving.take, "stands on no shelf", **asked | {"happened_at": make.next_moment()})
    assert verify_book() == []


def test_a_scan_that_did_not_happen_leaves_the_lot_where_it_stood() -> None:
    lot = put_on(place="A1")
    take_back(Put(lot=lot, place=shelf("B2")))
    assert place_of(lot) == "A1"
    assert verify_book() == []


def test_leaf_that_is_used_up_stands_on_no_shelf() -> None:
    lot = put_on()
    make.Load(lot=lot, charge=make.kg("0.880"), empties=True, reason="The last of it")
    assert standing() == []
    assert verify_book() == []


def test_a_shelf_that_nobody_entered_is_refused() -> None:
    lot = make.RefinedLeaf()
    assert expect_refusal(shelving.put, "register of shelves", lot=lot.code, place="Z9").field == "place"


def test_lights_out_before_and_after(monkeypatch: pytest.MonkeyPatch) -> None:
    lot, place = make.RefinedLeaf(), shelf()
    act, asked = Act("A"), {"lot": lot.code, "place": place, "happened_at": make.next_moment()}
    writes = Writes(monkeypatch)
    writes.break_off(before=3)
    with pytest.raises(LightsOut):
        shelving.put(act, **asked)
    writes.break_off(before=-1)
    assert Shelving.objects.count() == 0
    assert shelving.put(act, **asked).repeated is False
    assert shelving.put(act, **asked).repeated is True
    assert Shelving.objects.count() == 1
    assert verify_book() == []
