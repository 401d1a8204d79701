"""A stock count: what a person weighed on the shelf stands, and the difference is booked."""

from __future__ import annotations

import pytest

from lots.models import Flow, Lot, StockCount
from lots.read.balances import node_of
from lots.read.verifying import verify_book
from lots.record import counting
from lots.record.acts import Act
from lots.record.lines import Weight
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.house import ShelfCounted
from tests.record.asking import REASON, book_mg, expect_question, expect_refusal, line, take_back

pytestmark = pytest.mark.usefixtures("mill")


def count(lot: Lot, mass_mg: int, **other: object) -> dict[str, object]:
    return {"lot": lot.code, "counted": Weight(mass_mg, "S2"), "happened_at": make.next_moment()} | other


def test_a_count_books_its_difference_and_keeps_what_the_book_said() -> None:
    leaf = make.RefinedLeaf()
    receipt = counting.count(Act("A"), **count(leaf, leaf.mass_mg - 20_000))
    row = StockCount.objects.get(step=receipt.step)
    assert (row.book_mg, row.counted_mg, row.scale.code) == (leaf.mass_mg, leaf.mass_mg - 20_000, "S2")
    assert line(receipt.step, leaf, Flow.Kind.DIFFERENCE).mass_mg == -20_000
    assert book_mg(leaf) == leaf.mass_mg - 20_000
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_a_shelf_that_holds_too_much_is_asked_about_once() -> None:
    leaf = make.RefinedLeaf()
    expect_question(counting.count, "The shelf holds 2.6.kg too many", **count(leaf, leaf.mass_mg + 2_700_000))
    assert book_mg(leaf) == leaf.mass_mg + 2_700_000
    assert verify_book() == []


def test_bags_of_left_over_that_were_weighed_with_the_lot_count_with_it() -> None:
    leaf = make.RefinedLeaf()
    bag = make.mill(leaf, left_over="0.012").left_over
    whole_mg = book_mg(leaf) + book_mg(bag)
    receipt = counting.count(Act("A"), **count(leaf, whole_mg - 5_000, with_lots=[bag.code]))
    assert (line(receipt.step, leaf, "difference").mass_mg, line(receipt.step, bag, "difference").mass_mg) == (-5_000, 0)
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_the_lot_itself_and_a_bag_by_two_names_are_not_counted_twice() -> None:
    leaf = make.RefinedLeaf(maker_ref="R26-LT1")
    make.Load(lot=leaf)
    make.Tub(powder=make.kg("0.774"))
    bag = make.Closed(left_over=make.kg("0.110"), maker_ref="B26-01-1")
    whole_mg = book_mg(leaf) + book_mg(bag)
    receipt = counting.count(Act("A"), **count(leaf, whole_mg, with_lots=["B26-01-1", bag.code, "R26-LT1", leaf.code]))
    assert StockCount.objects.get(step=receipt.step).book_mg == whole_mg
    assert Flow.objects.filter(step=receipt.step).count() == 2
    assert verify_book() == []


def test_the_next_count_begins_where_the_last_one_ended() -> None:
    leaf = make.RefinedLeaf()
    counting.count(Act("A", reason=REASON), **count(leaf, leaf.mass_mg - 1_000_000))
    receipt = counting.count(Act("A"), **count(leaf, leaf.mass_mg - 1_000_000))
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_a_count_that_was_taken_back_is_no_beginning() -> None:
    leaf = make.RefinedLeaf()
    wrong = counting.count(Act("A", reason=REASON), **count(leaf, leaf.mass_mg - 1_000_000))
    take_back(wrong.step)
    assert book_mg(leaf) == leaf.mass_mg
    receipt = counting.count(Act("A"), **count(leaf, leaf.mass_mg))
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_an_empty_shelf_is_a_count_too() -> None:
    leaf = make.RefinedLeaf()
    expect_question(counting.count, "The shelf", **count(leaf, 0))
    assert book_mg(leaf) == 0
    assert verify_book() == []


def test_stock_below_nothing_is_mended_by_a_count() -> None:
    leaf = make.RefinedLeaf()
    make.Load(lot=leaf, charge=make.kg("9.000"), reason=REASON)
    assert book_mg(leaf) < 0
    counting.count(Act("A", reason=REASON), **count(leaf, 0))
    assert book_mg(leaf) == 0
    assert verify_book() == []


def test_powder_is_counted_like_leaf() -> None:
    powder = make.Sieved()
    receipt = counting.count(Act("A"), **count(powder, powder.mass_mg - 1_000))
    assert receipt.lots == ()
    assert book_mg(powder) == powder.mass_mg - 1_000
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"counted": Weight(-1)}, "cannot be below nothing", "counted_mg"),
    ({"lot": "R26-NONE"}, "No lot R26-NONE", "lot"),
    ({"with_lots": ["B26-NONE"]}, "No lot B26-NONE", "with_lots"),
    ({"counted": Weight(1, "S9")}, "register of scales", "scale"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    leaf = make.RefinedLeaf()
    assert expect_refusal(counting.count, match, **count(leaf, leaf.mass_mg) | other).field == field


def test_a_whole_shelf_is_counts_of_its_lots() -> None:
    ShelfCounted()
    count = StockCount.objects.get()
    assert (count.counted_mg, count.step.part, node_of(count.pk).balance.verdict) == (count.book_mg, "shelf", Verdict.ADDS_UP)
