"""Corrections add and never change: what follows from a figure is worked out again, what did not happen is taken back."""

from __future__ import annotations

import json

import pytest

from lots.models import Composition, Edge, Flow, Lot, Origin, PackedUnit, PackFace, Step, Stock
from lots.read.balances import node_of
from lots.read.verifying import verify_book
from lots.record import correcting, milling
from lots.record.acts import Act
from lots.record.deriving import rebuild
from lots.record.lines import Weight, find_lot
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import REASON, book_mg, correct, derived, expect_refusal, line, take_back

pytestmark = pytest.mark.usefixtures("mill")


def shares(lot: Lot) -> dict[str, float]:
    """Share of each plot in a lot."""
    rows = Composition.objects.filter(held_by=Origin.objects.get(pk=lot.step_id).held_by_id).values_list("plot_code", "share_frac")
    found: dict[str, float] = {}
    for plot, share in rows:
        found[plot] = found.get(plot, 0) + share
    return found


def other_leaf() -> Lot:
    return make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot="P2")))


def test_the_right_figure_stands_beside_the_wrong_one_and_stock_follows() -> None:
    """The season's own slip: the refined leaf was 2 kg heavier than the ticket said."""
    crude = make.CrudeLeaf()
    leaf = make.RefinedLeaf(lot=crude, refined=make.kg("5.98", "S2"), reason=REASON)
    assert node_of(leaf.step_id).balance.verdict is Verdict.STOP
    correct(leaf.step_id, leaf, "7.98")
    flows = list(Flow.objects.filter(lot=leaf, kind=Flow.Kind.OUT).order_by("pk").values_list("mass_mg", "reading_count"))
    assert flows == [(5_980_000, 1), (2_000_000, 0)]
    assert (book_mg(leaf), leaf.mass_mg) == (7_980_000, 5_980_000)
    assert node_of(leaf.step_id).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_a_draw_that_is_corrected_changes_shares_downstream_to_the_face_of_the_pack() -> None:
    one, two = make.RefinedLeaf(), other_leaf()
    make.Load(lot=one, charge=make.kg("0.400"))
    load = make.Load(lot=two, charge=make.kg("0.400"), reason=REASON)
    tub = make.Tub(powder=make.kg("0.805"))
    make.Closed()
    sieved = make.Sieved(lots=[tub])
    packed = make.Packed(lots=[sieved], series=[make.Series("T30", 20, make.kg("0.604"))], bulk=make.kg("0.190"))
    before = [shares(lot)["P1"] for lot in (tub, sieved, packed)]
    assert before == [pytest.approx(0.5)] * 3
    correct(load, two, "0.200", "in")
    assert [shares(lot)["P1"] for lot in (tub, sieved, packed)] == [pytest.approx(2 / 3)] * 3
    assert dict(Edge.objects.filter(step=tub.step).values_list("source_id", "share_frac"))[two.step_id] == pytest.approx(1 / 3)
    face = json.loads(PackFace.objects.get(unit__lot=packed).facts)
    assert [origin["share_frac"] for origin in face["origins"]] == [pytest.approx(2 / 3), pytest.approx(1 / 3)]
    assert book_mg(two) == two.mass_mg - 200_000
    assert verify_book() == []


def test_a_draw_corrected_to_nothing_leaves_no_trace_of_its_lot_and_back_again() -> None:
    one, two = make.RefinedLeaf(), other_leaf()
    make.Load(lot=one)
    load = make.Load(lot=two, reason=REASON)
    tub = make.Tub()
    correct(load, two, "0", "in")
    assert shares(tub) == {"P1": pytest.approx(1.0)}
    assert not Edge.objects.filter(step=tub.step, source=two.step).exists()
    correct(load, two, "0.880", "in")
    assert shares(tub) == {"P1": pytest.approx(0.5), "P2": pytest.approx(0.5)}
    assert verify_book() == []


def test_a_tub_that_is_corrected_changes_the_rate_on_the_page_of_the_pack() -> None:
    packed = make.Packed()
    unit = PackedUnit.objects.get(lot=packed)
    rate = json.loads(PackFace.objects.get(unit=unit).facts)["milled"]["rate_g_per_h"]
    tub = Lot.objects.filter(material="tub_powder").earliest("pk")
    correct(tub.step_id, tub, "0.842")
    now = json.loads(PackFace.objects.get(unit=unit).facts)["milled"]["rate_g_per_h"]
    assert rate - now == pytest.approx((0.886 - 0.842) * 1000 / 44, abs=0.06)
    assert verify_book() == []


def test_a_correction_of_a_closed_run_without_left_over_is_worked_out_whole() -> None:
    leaf = make.RefinedLeaf()
    milled = make.mill(leaf)
    correct(milled.run, leaf, "0.890", "in")
    assert book_mg(leaf) == leaf.mass_mg - 1_770_000
    assert verify_book() == []


def test_corrections_of_corrections_come_to_the_last_figure() -> None:
    leaf = make.RefinedLeaf()
    for kilograms in ("8.10", "7.90", "8.00", "8.40"):
        correct(leaf.step_id, leaf, kilograms)
    assert book_mg(leaf) == 8_400_000
    assert verify_book() == []


def test_everything_worked_out_again_from_the_beginning_is_what_stands() -> None:
    one, two = make.RefinedLeaf(), other_leaf()
    make.Held(lot=two)
    make.Load(lot=one)
    load = make.Load(lot=two, reason=REASON)
    tubs = [make.Tub(), make.Tub(moisture=None)]
    make.Closed()
    make.Sent(packs=[make.Packs(make.Packed(lots=[make.Sieved(lots=make.mill(one, pair="SP2", job="J2").tubs)]).code, 4, 1)])
    correct(load, two, "0.500", "in")
    take_back(make.Sieved(lots=tubs, reason=REASON).step)
    before = derived()
    rebuild()
    assert derived() == before
    assert verify_book() == []


def test_more_taken_than_there_was_after_a_correction_is_marked() -> None:
    leaf = make.RefinedLeaf()
    make.Load(lot=leaf, charge=make.kg("3.000"))
    receipt = correct(leaf.step_id, leaf, "2.00")
    assert "-1.000 kg" in Step.objects.get(pk=receipt.step).questioned.replace("\u2212", "-")
    assert book_mg(leaf) == -1_000_000
    assert verify_book() == []


def test_what_did_not_happen_gives_back_what_it_took() -> None:
    crude = make.CrudeLeaf()
    leaf = make.RefinedLeaf(lot=crude)
    take_back(leaf.step)
    opened = Lot.objects.filter(step=leaf.step)
    assert book_mg(crude) == crude.mass_mg
    assert set(Stock.objects.filter(lot__in=opened).values_list("book_mg", flat=True)) == {0}
    assert not Stock.objects.get(lot=crude).emptied
    assert node_of(leaf.step_id) is None
    assert verify_book() == []


def test_what_is_entered_in_its_place_takes_over_the_maker_s_reference() -> None:
    fresh = make.FreshLeaf(maker_ref="H26-LT1")
    take_back(fresh.step)
    right = make.FreshLeaf(maker_ref="H26-LT1", fresh=make.kg("66.00", "S1", 3))
    crude = make.CrudeLeaf(lot=right)
    take_back(crude.step)
    assert find_lot("H26-LT1") == right
    assert verify_book() == []


def test_a_used_lot_keeps_its_step_until_what_used_it_is_taken_back() -> None:
    fresh = make.FreshLeaf()
    crude = make.CrudeLeaf(lot=fresh)
    assert expect_refusal(correcting.reverse, "was used already", why=REASON, step=fresh.step_id).field == "step"
    take_back(crude.step)
    take_back(fresh.step)
    assert book_mg(fresh) == 0
    assert verify_book() == []


def test_a_lot_whose_use_and_loss_cancel_out_was_used_all_the_same() -> None:
    """Half was drawn, and a count found the other half gone as well: the sums cancel, the use stays."""
    leaf = make.RefinedLeaf()
    make.Load(lot=leaf, charge=Weight(leaf.mass_mg // 2, "S3"))
    make.Counted(lot=leaf, counted=Weight(leaf.mass_mg - 2 * (leaf.mass_mg // 2), "S2"), reason=REASON)
    expect_refusal(correcting.reverse, "was used already", why=REASON, step=leaf.step_id)


def test_a_run_goes_back_from_its_end_to_its_beginning() -> None:
    leaf = make.RefinedLeaf()
    load = make.Load(lot=leaf)
    tub = make.Tub()
    close = milling.close(Act("A"), pair="SP1", left_over=Weight(0), happened_at=make.next_moment())
    assert expect_refusal(correcting.reverse, "The run goes on", why=REASON, step=load.pk).field == "step"
    for step in (close.step, tub.step_id, load.pk):
        take_back(step)
    assert book_mg(leaf) == leaf.mass_mg
    assert make.Load(lot=leaf, job="J2")
    assert verify_book() == []


def test_a_reversal_is_not_reversed_and_a_correction_is_not_corrected() -> None:
    leaf = make.RefinedLeaf()
    adjusted = correct(leaf.step_id, leaf, "8.00")
    back = take_back(leaf.step)
    for step in (adjusted.step, back.step):
        expect_refusal(correcting.reverse, "is not corrected itself", why=REASON, step=step)
        expect_refusal(correcting.adjust, "is not corrected itself", why=REASON, step=step, masses_mg={1: 1})
    expect_refusal(correcting.reverse, "was taken back before", why=REASON, step=leaf.step_id)
    expect_refusal(correcting.adjust, "was taken back before", why=REASON, step=leaf.step_id, masses_mg={1: 1})
    assert verify_book() == []


def test_a_correction_says_why_and_changes_something() -> None:
    leaf = make.RefinedLeaf()
    found = line(leaf.step, leaf)
    expect_refusal(correcting.adjust, "Say why the figure", step=leaf.step_id, masses_mg={found.pk: 1})
    expect_refusal(correcting.adjust, "Say why the figure", why="  ", step=leaf.step_id, masses_mg={found.pk: 1})
    expect_refusal(correcting.reverse, "Say why it did not happen", why="", step=leaf.step_id)
    expect_refusal(correcting.adjust, "Nothing is different", why=REASON, step=leaf.step_id, masses_mg={found.pk: found.mass_mg})
    expect_refusal(correcting.adjust, "Nothing is different", why=REASON, step=leaf.step_id, masses_mg={})
    expect_refusal(correcting.adjust, "cannot be below nothing", why=REASON, step=leaf.step_id, masses_mg={found.pk: -1})
    expect_refusal(correcting.adjust, "does not belong to this step", why=REASON, step=leaf.step_id, masses_mg={9_999: 1})
    expect_refusal(correcting.adjust, "There is no step 9999", why=REASON, step=9_999, masses_mg={1: 1})
    expect_refusal(correcting.adjust, "Reason has 201 signs", why="w" * 201, step=leaf.step_id, masses_mg={found.pk: 1})


def test_a_difference_is_counted_again_and_not_corrected() -> None:
    leaf = make.RefinedLeaf()
    count = make.Counted(lot=leaf, counted=Weight(leaf.mass_mg - 10_000, "S2"))
    difference = Flow.objects.get(step=count, kind=Flow.Kind.DIFFERENCE)
    expect_refusal(correcting.adjust, "count the lot again", why=REASON, step=count.pk, masses_mg={difference.pk: 5})


def test_a_consignment_s_mass_is_corrected_once_for_all_its_ranges() -> None:
    tins = make.Packed()
    sent = make.Sent(packs=[make.Packs(tins.code, 3, 1), make.Packs(tins.code, 4, 10)])
    correct(sent, tins, "0.200", "in")
    take_back(sent)
    assert book_mg(tins) == tins.mass_mg
    assert verify_book() == []
