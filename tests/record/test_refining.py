"""Sorting: crude leaf becomes refined leaf and its by-products; the refined leaf is ready for the stone."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.models import DriedLeafLot, Flow, Lot, Step
from lots.read.balances import node_of
from lots.read.verifying import verify_book
from lots.record import refining
from lots.record.acts import Act
from lots.record.lines import Moisture, Weight
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal

pytestmark = pytest.mark.usefixtures("mill")


def batch(lot: Lot, **other: object) -> dict[str, object]:
    """What 10.41 kg of crude leaf at 4.6 % give."""
    return {
        "lot": lot.code, "refined": make.kg("7.98", "S2"), "refined_moisture": Moisture(Decimal("0.030")),
        "by_products": {"vein_stem": make.kg("1.46"), "fines": make.kg("0.54"), "off_colour": make.kg("0.21")},
        "by_product_moistures": {m: Moisture(Decimal("0.046"), "assumed") for m in ("vein_stem", "fines", "off_colour")},
        "sorter": "SORT1", "happened_at": make.next_moment(),
    } | other


def test_sorting_opens_the_dried_leaf_lot_and_one_lot_for_each_by_product() -> None:
    crude = make.CrudeLeaf()
    receipt = refining.batch(Act("A"), **batch(crude, maker_ref="R26-LT1", grade="first", shelf="A3"))
    lots = [Lot.objects.get(code=code) for code in receipt.lots]
    assert [lot.material for lot in lots] == ["refined_leaf", "vein_stem", "fines", "off_colour"]
    assert lots[0].maker_ref == "R26-LT1"
    leaf = DriedLeafLot.objects.get(lot=lots[0])
    assert (leaf.grade, leaf.shelf) == ("first", "A3")
    assert book_mg(crude) == 0
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_by_products_assumed_by_one_rule_share_its_error() -> None:
    receipt = refining.batch(Act("A"), **batch(make.CrudeLeaf()))
    samples = dict(Flow.objects.filter(step=receipt.step, kind=Flow.Kind.OUT).values_list("role", "sample"))
    assert samples["vein_stem"] == "vein_stem@1"
    assert samples["fines"] == "fines@1"
    assert samples["refined_leaf"].partition(".")[0] == str(receipt.seq)
    assert verify_book() == []


def test_two_kilograms_too_few_are_asked_about_once_with_their_size() -> None:
    """The season's own slip: 46.39 kg of refined leaf written down as 43.69 kg."""
    receipt = expect_question(refining.batch, r"Sorting lost 1\.9.kg too many", **batch(make.CrudeLeaf(), refined=make.kg("5.98", "S2")))
    assert node_of(receipt.step).balance.verdict is Verdict.STOP
    assert verify_book() == []


def test_a_declared_spill_is_no_alarm() -> None:
    asked = batch(make.CrudeLeaf(), refined=make.kg("7.00", "S2"), losses={"spill": make.kg("0.97")})
    receipt = refining.batch(Act("A"), **asked)
    assert Step.objects.get(pk=receipt.step).questioned == ""
    assert Flow.objects.get(step=receipt.step, kind=Flow.Kind.LOST).role == "spill"
    assert verify_book() == []


def test_by_products_of_nothing_open_no_lot() -> None:
    nothing = {"vein_stem": Weight(2_220_000, "S3"), "fines": Weight(0), "off_colour": Weight(0)}
    receipt = refining.batch(Act("A"), **batch(make.CrudeLeaf(), by_products=nothing))
    assert len(receipt.lots) == 2
    assert verify_book() == []


def test_leaf_without_a_moisture_waits_for_its_measurement() -> None:
    receipt = refining.batch(Act("A"), **batch(make.CrudeLeaf(), refined_moisture=None))
    balance = node_of(receipt.step).balance
    assert balance.verdict is Verdict.CANNOT
    assert balance.z is None
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"by_products": {"packed_tea": make.kg("1")}}, "packed_tea does not come out here", ""),
    ({"by_products": {"dust": make.kg("1")}}, "dust does not come out here", ""),
    ({"losses": {"theft": make.kg("1")}}, "theft is not a loss", "losses"),
    ({"sorter": "SORT7"}, "register of machines", "sorter"),
    ({"refined": make.kg("0")}, "more than nothing", ""),
    ({"grade": "g" * 41}, "Grade has 41 signs", "grade"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(refining.batch, match, **batch(make.CrudeLeaf(), **other)).field == field


def test_picked_out_leaf_and_vein_go_through_sorting_again() -> None:
    leaf = make.RefinedLeaf()
    vein = make.lots_of(leaf.step, "vein_stem")[0]
    again = make.RefinedLeaf(
        lot=vein, refined=make.kg("0.20", "S2"), by_products={"vein_stem": make.part(vein.mass_mg - 200_000, 0.99)},
        by_product_moistures={"vein_stem": make.Moisture(make.CRUDE_W)},
    )
    assert (again.step.questioned, again.mass_mg) == ("", 200_000)
    assert verify_book() == []
