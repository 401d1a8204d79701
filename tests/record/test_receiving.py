"""Goods in: what came with its papers, what was sent away, and what only a certificate lets in."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest
from django.utils import timezone

from lots.models import Flow, GoodsReceipt, GoodsRefused, Hold, JournalEntry, Lot, OpeningStock, PackagingLot, Stock
from lots.read.composing import folded_shares, stored_shares
from lots.read.names import opened
from lots.read.verifying import verify_book
from lots.record import milling, opening, receiving
from lots.record.acts import Act
from lots.record.errors import Questioned, Refused
from lots.record.lines import Moisture, Weight
from lots.record.receiving import Paper
from tests.factories import REFINED_W, enter, found_small_mill, kg
from tests.record.breaking import LightsOut, Writes
from tests.record.goods import PackagingIn, SentAway, TakenIn

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


@pytest.fixture(autouse=True)
def house() -> None:
    found_small_mill()
    enter("party", "SU1", name="Tsugumi leaf house", contact="telephone SU1", roles="supplier")


def taken_in(act: Act | None = None, **other: Any) -> Lot:
    asked: dict[str, Any] = {
        "supplier": "SU1", "material": "refined_leaf", "weighed": kg("20.00", "S2"), "paper": Paper("D-77", "delivery note", 20_000_000),
        "moisture": Moisture(REFINED_W), "supplier_lot": "TL-9",
    }
    receipt = receiving.accept(act or Act("A"), **{**asked, **other})
    return Lot.objects.get(code=receipt.lots[0])


def certified(**other: Any) -> None:
    fields = {
        "party": "SU1", "kind": "organic", "number": "JP-1", "issuer": "Example body", "materials": "refined_leaf crude_leaf",
        "holds_from_on": TODAY - dt.timedelta(days=100), "holds_until_on": TODAY + dt.timedelta(days=100),
    }
    enter("certificate", "C1", **{**fields, **other})


def test_a_delivery_opens_a_lot_whose_origin_is_not_known() -> None:
    lot = taken_in()
    row = GoodsReceipt.objects.get()
    assert (row.supplier.code, row.supplier_lot, row.lot_assigned, row.paper_no) == ("SU1", "TL-9", False, "D-77")
    assert (lot.material, Stock.objects.get(lot=lot).book_mg) == ("refined_leaf", 20_000_000)
    run = milling.load(Act("A"), pair="SP1", lot=lot.code, charge=kg("0.900"))
    assert stored_shares(run.step) == folded_shares(run.step) == [(None, "", 1.0)]
    assert verify_book() == []


def test_goods_without_a_code_get_one_of_ours() -> None:
    lot = taken_in(supplier_lot="")
    row = GoodsReceipt.objects.get()
    assert (row.supplier_lot, row.lot_assigned) == (lot.code, True)
    assert verify_book() == []


@pytest.mark.parametrize(("other", "asked"), [
    ({"weighed": kg("18.00", "S2")}, r"The paper says 20\.\d* kg and the scale 18"),
    ({"paper": Paper("D-77", label_check="differs", label_note="label says second flush")}, "label says second flush"),
    ({"paper": Paper("D-77", seal="broken")}, "The seal is broken"),
])
def test_what_the_paper_does_not_explain_is_asked_once(other: dict[str, Any], asked: str) -> None:
    with pytest.raises(Questioned, match=asked):
        taken_in(**other)
    assert not GoodsReceipt.objects.exists()
    taken_in(Act("A", reason="the supplier was called"), **other)
    assert GoodsReceipt.objects.get().step.reason == "the supplier was called"
    assert verify_book() == []


def test_only_a_certificate_of_that_day_and_those_goods_lets_them_in_as_organic() -> None:
    with pytest.raises(Refused, match="No certificate of SU1 says organic of refined leaf"):
        taken_in(state="organic")
    certified(materials="crude_leaf")
    with pytest.raises(Refused, match="Enter the certificate first"):
        taken_in(state="organic")
    certified(holds_until_on=TODAY - dt.timedelta(days=1))
    with pytest.raises(Refused, match="take the goods in as conventional"):
        taken_in(state="organic")
    certified()
    taken_in(state="organic")
    row = GoodsReceipt.objects.get()
    assert row.certificate is not None
    assert (row.state, row.certificate.number, row.certificate.version) == ("organic", "JP-1", 3)
    assert verify_book() == []


def test_goods_can_be_stopped_as_they_come() -> None:
    lot = taken_in(hold_why="smells of smoke")
    hold = Hold.objects.get()
    assert (hold.lot, hold.kind, hold.reason) == (lot, "hold", "smells of smoke")
    assert hold.entry == lot.step.entry
    assert verify_book() == []


def test_goods_that_are_sent_away_open_nothing() -> None:
    receiving.refuse(Act("A"), supplier="SU1", material="crude_leaf", paper_no="D-78", why="wet bags", stated_mg=40_000_000)
    row = GoodsRefused.objects.get()
    assert (row.why, row.stated_mg) == ("wet bags", 40_000_000)
    assert not Lot.objects.exists()
    for other, said in ({"why": " "}, "Say why"), ({"paper_no": ""}, "number of the paper"), ({"supplier": "XX"}, "not in the register"):
        asked: dict[str, Any] = {"supplier": "SU1", "material": "crude_leaf", "paper_no": "D-78", "why": "wet bags"}
        with pytest.raises(Refused, match=said):
            receiving.refuse(Act("A"), **{**asked, **other})
    assert verify_book() == []


@pytest.mark.parametrize(("other", "said"), [
    ({"paper": Paper(" ")}, "number of the paper"), ({"paper": Paper("D", label_check="differs")}, "in what label and paper differ"),
    ({"material": "stem"}, "does not come out here"), ({"weighed": Weight(0)}, "more than nothing"), ({"supplier": ""}, "not in the register"),
])
def test_what_cannot_be_taken_in_is_refused(other: dict[str, Any], said: str) -> None:
    entries = JournalEntry.objects.count()
    with pytest.raises(Refused, match=said):
        taken_in(Act("A", reason="all the same"), **other)
    assert JournalEntry.objects.count() == entries
    assert verify_book() == []


@pytest.mark.parametrize("before", [1, 3, 6, 9])
def test_a_delivery_is_written_once_whatever_breaks(before: int, monkeypatch: pytest.MonkeyPatch) -> None:
    act = Act("A", uuid.uuid4())
    writes = Writes(monkeypatch)
    writes.break_off(before=before)
    try:
        taken_in(act)
        broke = False
    except LightsOut:
        broke = True
        assert not GoodsReceipt.objects.exists()
    writes.break_off(before=-1)
    lot = taken_in(act)
    assert taken_in(act) == lot
    assert GoodsReceipt.objects.count() == 1
    assert broke or before > 6
    assert verify_book() == []


def test_stock_from_before_keeps_its_paper_and_whom_its_packs_went_to() -> None:
    asked: dict[str, Any] = {"material": "sieved_powder", "weighed": kg("3.250"), "paper_no": "old book p. 12", "origin": "two plots of 2025",
                             "sold_count": 40, "sold_to": "Tea House East"}
    receipt = opening.stock(Act("A"), **asked)
    row = OpeningStock.objects.get()
    assert (row.paper_no, row.sold_count) == ("old book p. 12", 40)
    assert opened([row.sold_to]) == {row.sold_to: "Tea House East"}
    assert Flow.objects.get(step=receipt.step).mass_mg == 3_250_000
    for other, said in (
        ({"paper_no": ""}, "Which paper"), ({"origin": " "}, "few words"), ({"sold_count": -1}, "0 for none"), ({"sold_to": ""}, "To whom"),
    ):
        with pytest.raises(Refused, match=said):
            opening.stock(Act("A"), **{**asked, **other})
    assert verify_book() == []


def test_packaging_that_came_without_a_code_gets_one_and_counts() -> None:
    PackagingIn()
    row = PackagingLot.objects.get()
    assert (row.code[0], row.lot_assigned, row.counted_count) == ("G", True, 500)
    asked: dict[str, Any] = {"item": "TIN30", "supplier": "SU1", "paper": Paper("T-2"), "counted_count": 500}
    with pytest.raises(Questioned, match="600 and 500 were counted"):
        receiving.packaging(Act("A"), **asked, stated_count=600)
    with pytest.raises(Refused, match="How many came"):
        receiving.packaging(Act("A"), **{**asked, "counted_count": 0})
    assert verify_book() == []


def test_each_delivery_is_an_act_of_its_own() -> None:
    TakenIn()
    SentAway()
    assert (GoodsReceipt.objects.count(), GoodsRefused.objects.count(), Lot.objects.count()) == (1, 1, 1)
    assert verify_book() == []
