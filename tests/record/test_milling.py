"""Stones: one pair in one job is one run, with loads, tubs, and the close with the left-over that a hand must type."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.models import Edge, Flow, Lot, MillingRun, MillingTub, Step
from lots.read.balances import node_of
from lots.read.milling import dressed_h, open_run
from lots.read.verifying import verify_book
from lots.record import milling, registers
from lots.record.acts import Act
from lots.record.lines import Moisture, Weight
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import REASON, book_mg, expect_question, expect_refusal, line, lot_of, take_back

pytestmark = pytest.mark.usefixtures("mill")


def charge(lot: Lot, kilograms: str = "0.880", **other: object) -> dict[str, object]:
    return {"pair": "SP1", "lot": lot.code, "charge": make.kg(kilograms), "job": "J1", "happened_at": make.next_moment()} | other


def tub(**other: object) -> dict[str, object]:
    return {
        "pair": "SP1", "powder": make.kg("0.886"), "ground_h": Decimal(22), "moisture": Moisture(Decimal("0.044")),
        "happened_at": make.next_moment(),
    } | other


def test_the_first_charge_opens_a_run_and_the_second_tops_it_up() -> None:
    leaf = make.RefinedLeaf()
    before_mg = book_mg(leaf)
    first = milling.load(Act("A"), **charge(leaf))
    second = milling.load(Act("A"), **charge(leaf))
    run = MillingRun.objects.get()
    assert (run.step_id, run.pair.code, run.job) == (first.step, "SP1", "J1")
    assert Step.objects.get(pk=second.step).continues_id == first.step
    assert before_mg - book_mg(leaf) == 1_760_000
    assert verify_book() == []


def test_a_tub_holds_what_was_loaded_before_it_and_not_what_came_after() -> None:
    one, other = make.RefinedLeaf(), make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot="P2")))
    make.Load(lot=one)
    first = make.Tub()
    make.Load(lot=other, reason=REASON)
    second = make.Tub(moisture=None)
    shares = dict(Edge.objects.filter(step=second.step).values_list("source_id", "share_frac"))
    assert list(Edge.objects.filter(step=first.step).values_list("source_id", flat=True)) == [one.step_id]
    assert shares == {one.step_id: pytest.approx(0.5), other.step_id: pytest.approx(0.5)}
    assert verify_book() == []


def test_hours_since_dressing_grow_with_every_tub_and_begin_anew_with_a_dressing() -> None:
    make.Load(lot=make.Load().flows.get().lot)
    tubs = [make.Tub(), make.Tub(ground_h=Decimal("21.5"))]
    assert [MillingTub.objects.get(step=t.step).dressed_h for t in tubs] == [Decimal("122.00"), Decimal("143.50")]
    make.Closed()
    registers.enter(Act("F"), table="stone_pair", code="SP1", fields={"equipment": "SP1", "upper": "U1", "lower": "L1"},
                    valid_from_at=make.next_moment())
    make.Load(job="J2")
    assert MillingTub.objects.get(step=make.Tub().step).dressed_h == Decimal("22.00")
    assert verify_book() == []


def test_a_tub_that_was_taken_back_gives_its_hours_back() -> None:
    make.Load()
    make.Tub()
    take_back(make.Tub().step)
    assert dressed_h(open_run("SP1").pair) == Decimal("122.00")
    assert verify_book() == []


def test_the_left_over_is_compulsory_nothing_included() -> None:
    make.Load()
    make.Tub()
    with pytest.raises(TypeError, match="left_over"):
        milling.close(Act("A"), pair="SP1")
    receipt = milling.close(Act("A"), pair="SP1", left_over=Weight(0, "S3"), happened_at=make.next_moment())
    assert receipt.lots == ()
    assert open_run("SP1") is None
    assert verify_book() == []


def test_a_left_over_becomes_a_bag_of_its_own_with_the_moisture_of_its_leaf() -> None:
    leaf = make.RefinedLeaf()
    make.Load(lot=leaf)
    make.Tub(powder=make.kg("0.774"))
    bag = lot_of(milling.close(Act("A"), pair="SP1", left_over=make.kg("0.110"), maker_ref="B26-01-1", happened_at=make.next_moment()))
    assert (bag.material, bag.mass_mg, bag.maker_ref) == ("left_over", 110_000, "B26-01-1")
    assert line(bag.step, bag).sample == line(leaf.step, leaf).sample
    assert verify_book() == []


def test_a_tub_without_moisture_keeps_its_run_from_being_judged() -> None:
    leaf = make.RefinedLeaf()
    run = make.Load(lot=leaf)
    make.Load(lot=leaf)
    make.Tub()
    make.Tub(moisture=None, powder=make.kg("0.500"))
    make.Closed()
    assert node_of(run.pk).balance.verdict is Verdict.CANNOT
    assert verify_book() == []


def test_leaf_that_is_missing_at_the_close_is_asked_about() -> None:
    leaf = make.RefinedLeaf()
    run = make.Load(lot=leaf)
    make.Load(lot=leaf)
    make.Tub()
    expect_question(milling.close, "The stones lost .* too many", pair="SP1", left_over=Weight(0), happened_at=make.next_moment())
    assert node_of(run.pk).balance.verdict is Verdict.STOP
    assert verify_book() == []


def test_a_second_job_on_a_running_pair_is_refused_and_another_pair_takes_it() -> None:
    leaf = make.RefinedLeaf()
    make.Load(lot=leaf)
    assert expect_refusal(milling.load, "still running job J1", **charge(leaf, job="J2")).field == "job"
    assert milling.load(Act("A"), **charge(leaf, job="J2", pair="SP2")).step
    assert verify_book() == []


def test_another_lot_on_top_is_asked_about_and_the_left_over_of_the_same_sorting_is_not() -> None:
    leaf, other = make.RefinedLeaf(), make.RefinedLeaf()
    make.Load(lot=leaf)
    expect_question(milling.load, "every tub from now on would hold both", **charge(other))
    assert verify_book() == []


def test_leaf_poured_by_mistake_and_taken_back_is_no_reason_to_ask_again() -> None:
    leaf, other = make.RefinedLeaf(), make.RefinedLeaf()
    make.Load(lot=leaf)
    take_back(make.Load(lot=other, reason=REASON))
    assert milling.load(Act("A"), **charge(leaf)).step
    bag = make.Closed(left_over=make.kg("1.750"))
    assert line(bag.step, bag).sample == line(leaf.step, leaf).sample
    assert list(Edge.objects.filter(step=bag.step).values_list("source_id", flat=True)) == [leaf.step_id]
    assert verify_book() == []


def test_more_than_the_shelf_has_is_asked_about_and_stock_goes_below_nothing() -> None:
    leaf = make.RefinedLeaf()
    receipt = expect_question(milling.load, "in the book and 9.880 kg are taken", **charge(leaf, "9.880"))
    assert book_mg(leaf) == leaf.mass_mg - 9_880_000 < 0
    assert Step.objects.get(pk=receipt.step).questioned
    assert verify_book() == []


@pytest.mark.parametrize(("drawn_more_kg", "role_mg"), [("-0.030", -30_000), ("0.020", 20_000)])
def test_a_draw_that_empties_the_shelf_books_what_is_missing_or_left(drawn_more_kg: str, role_mg: int) -> None:
    leaf = make.RefinedLeaf()
    kilograms = str(Decimal(book_mg(leaf)) / 1_000_000 + Decimal(drawn_more_kg))
    asked = charge(leaf, kilograms, empties=True)
    receipt = milling.load(Act("A"), **asked) if role_mg < 0 else expect_question(milling.load, "are taken", **asked)
    difference = line(receipt.step, leaf, Flow.Kind.DIFFERENCE)
    leaf.stock.refresh_from_db()
    assert (difference.mass_mg, difference.role) == (role_mg, "on emptying")
    assert (leaf.stock.book_mg, leaf.stock.emptied) == (0, True)
    assert verify_book() == []


@pytest.mark.parametrize(("hours", "kilograms"), [("1.5", "0.886"), ("96", "0.886"), ("0.01", "0.002")])
def test_a_rate_that_no_stone_has_is_asked_about(hours: str, kilograms: str) -> None:
    make.Load()
    expect_question(milling.tub, "g an hour", **tub(ground_h=Decimal(hours), powder=make.kg(kilograms)))
    assert verify_book() == []


@pytest.mark.parametrize(("recorder", "asked"), [(milling.tub, tub), (milling.close, lambda: {"pair": "SP1", "left_over": Weight(0)})])
def test_a_pair_that_stands_idle_gives_nothing(recorder: object, asked: object) -> None:
    assert expect_refusal(recorder, "Pair SP1 stands idle", **asked()).field == "pair"


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"ground_h": Decimal(0)}, "More than none", "ground_h"),
    ({"ground_h": Decimal("0.004")}, "More than none", "ground_h"),
    ({"ground_h": Decimal("1e12")}, "Ground h must lie between", "ground_h"),
    ({"powder": Weight(0)}, "more than nothing", ""),
    ({"pair": "SP9"}, "register of stone pairs", "pair"),
])
def test_a_tub_that_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    make.Load()
    reason = REASON if field == "ground_h" else ""
    assert expect_refusal(milling.tub, match, why=reason, **tub(**other)).field == field


def test_a_left_over_below_nothing_and_a_job_with_a_long_name_are_refused() -> None:
    leaf = make.RefinedLeaf()
    assert expect_refusal(milling.load, "Job has 25 signs, and 24 fit", **charge(leaf, job="J" * 25)).field == "job"
    make.Load(lot=leaf)
    assert expect_refusal(milling.close, "cannot be below nothing", pair="SP1", left_over=Weight(-1)).field == "left_over_mg"


def test_a_close_typed_as_nothing_can_be_taken_back_and_typed_again_while_the_next_job_runs() -> None:
    """The season's own fault: 0.31 kg stayed in a hopper, 0 was typed, and the next job had begun when it was found."""
    leaf, other = make.RefinedLeaf(), make.RefinedLeaf()
    run = make.Load(lot=leaf)
    make.Tub(powder=make.kg("0.574"))
    closed = milling.close(Act("A", reason=REASON), pair="SP1", left_over=Weight(0), happened_at=make.next_moment())
    assert node_of(run.pk).balance.verdict is Verdict.STOP
    make.Load(lot=other, job="J2")
    take_back(closed.step)
    again = milling.close(Act("A"), pair="SP1", job="J1", left_over=make.kg("0.310"), happened_at=make.next_moment())
    assert node_of(run.pk).balance.verdict is Verdict.ADDS_UP
    assert [lot_of(again).step.continues_id, open_run("SP1").job] == [run.pk, "J2"]
    assert verify_book() == []
