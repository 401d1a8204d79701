"""A hold stops a lot and all that holds its leaf, whenever it was made; a release ends it, with the ground."""

from __future__ import annotations

import pytest

from lots.codes.packs import pack_code, split
from lots.models import Hold, HoldReach, Lot, PackedUnit, PackSecret
from lots.read.holding import holds_on_lot
from lots.read.pack_pages import find_pack
from lots.read.verifying import verify_book
from lots.record import holding, milling, refining
from lots.record.acts import Act
from lots.record.lines import Weight
from tests import factories as make
from tests.record.asking import REASON, correct, expect_refusal, lot_of, take_back

pytestmark = pytest.mark.usefixtures("mill")


def held(lot: Lot) -> bool:
    return bool(holds_on_lot(lot))


def let_go(hold: Hold) -> None:
    holding.release(Act("C"), hold=hold.pk, reason="Result C-12: nothing found", happened_at=make.next_moment())


def test_a_hold_reaches_all_that_was_made_before_it() -> None:
    chain = make.chain()
    make.Held(lot=chain.refined)
    assert all(held(lot) for lot in (chain.refined, *chain.milled.tubs, chain.sieved, *chain.packed, chain.kept))
    assert not held(chain.crude)
    assert not held(chain.fresh)
    assert HoldReach.objects.filter(step=chain.sent).exists()
    assert verify_book() == []


def test_a_hold_reaches_all_that_is_made_after_it() -> None:
    leaf = make.RefinedLeaf()
    make.Held(lot=leaf)
    milled = make.mill(leaf, left_over="0.012")
    sieved = make.Sieved(lots=milled.tubs)
    packed = make.Packed(lots=[sieved])
    assert all(held(lot) for lot in (*milled.tubs, milled.left_over, sieved, packed))
    assert verify_book() == []


def test_a_run_that_was_open_when_the_hold_came_is_held_from_its_load_on() -> None:
    leaf, clean = make.RefinedLeaf(), make.RefinedLeaf()
    make.Load(lot=clean)
    before = make.Tub()
    make.Load(lot=leaf, reason=REASON)
    between = make.Tub()
    make.Held(lot=leaf)
    after = make.Tub()
    make.Closed(reason=REASON)
    assert [held(tub) for tub in (before, between, after)] == [False, True, True]
    assert verify_book() == []


def test_lots_of_the_same_step_are_not_reached() -> None:
    crude = make.CrudeLeaf()
    leaf = make.RefinedLeaf(lot=crude)
    siblings = [make.lots_of(leaf.step, material)[0] for material in ("vein_stem", "fines", "off_colour")]
    stem = make.lots_of(crude.step, "stem")[0]
    make.Held(lot=leaf)
    assert [held(lot) for lot in (*siblings, stem)] == [False] * 4
    assert verify_book() == []


def test_one_held_series_leaves_the_other_series_of_its_run_free() -> None:
    tins = make.Packed()
    bags = make.lots_of(tins.step, "packed_tea")[1]
    make.Held(lot=tins)
    assert (held(tins), held(bags)) == (True, False)
    assert make.Sent(packs=[make.Packs(bags.code, 1, 21)])
    assert verify_book() == []


def test_a_release_ends_it_everywhere_and_another_hold_stays() -> None:
    chain = make.chain()
    first, second = make.Held(lot=chain.refined), make.Held(lot=chain.sieved)
    let_go(first)
    assert (held(chain.milled.tubs[0]), held(chain.sieved), held(chain.packed[0])) == (False, True, True)
    let_go(second)
    assert not held(chain.packed[0])
    bulk = make.lots_of(chain.packed[0].step, "bulk_powder")[0]
    again = make.Packed(lots=[bulk], series=[make.Series("T30", 5, make.part(bulk.mass_mg, 0.996))], bulk=None)
    assert not held(again)
    assert make.Sent(packs=[make.Packs(again.code, 5, 1)])
    assert verify_book() == []


def test_what_is_made_after_a_release_is_free() -> None:
    leaf = make.RefinedLeaf()
    let_go(make.Held(lot=leaf))
    assert not any(held(tub) for tub in make.mill(leaf).tubs)
    assert verify_book() == []


def test_a_load_that_was_taken_back_takes_the_hold_with_it() -> None:
    leaf, smoky = make.RefinedLeaf(), make.RefinedLeaf()
    make.Load(lot=leaf)
    wrong = make.Load(lot=smoky, reason=REASON)
    make.Held(lot=smoky)
    tub = make.Tub()
    assert held(tub)
    take_back(wrong)
    assert not held(tub)
    assert not held(make.Tub())
    assert verify_book() == []


def test_a_draw_that_is_corrected_to_something_is_held_again() -> None:
    leaf, smoky = make.RefinedLeaf(), make.RefinedLeaf()
    make.Load(lot=leaf)
    load = make.Load(lot=smoky, reason=REASON)
    tub = make.Tub()
    correct(load, smoky, "0.000", "in")
    make.Held(lot=smoky)
    assert not held(tub)
    correct(load, smoky, "0.100", "in")
    assert held(tub)
    assert verify_book() == []


def test_a_held_lot_that_is_reached_by_nothing_holds_only_itself() -> None:
    leaf = make.RefinedLeaf()
    hold = make.Held(lot=leaf)
    assert held(leaf)
    assert not HoldReach.objects.filter(hold=hold).exists()
    assert verify_book() == []


def test_the_page_of_every_pack_says_what_to_do_at_once() -> None:
    tins = make.Packed()
    unit = PackedUnit.objects.get(lot=tins)
    code = pack_code(unit.run_no, 3, bytes(PackSecret.objects.get(pk=unit.run_no).secret))
    assert find_pack(split(code)).recall is None
    holding.fetch_back(Act("D"), lot=tins.code, reason="Metal found", what_to_do=" Bring it back to us ", what_to_do_ja="返送してください",
                       happened_at=make.next_moment())
    recall = find_pack(split(code)).recall
    assert (recall.what_to_do, recall.what_to_do_ja, recall.reason) == ("Bring it back to us", "返送してください", "Metal found")
    let_go(Hold.objects.get(kind="recall"))
    assert find_pack(split(code)).recall is None
    assert verify_book() == []


def test_milling_and_sorting_what_is_held_are_facts_and_are_taken() -> None:
    crude = make.CrudeLeaf()
    make.Held(lot=crude)
    leaf = make.RefinedLeaf(lot=crude)
    assert milling.load(Act("A"), pair="SP1", lot=leaf.code, charge=make.kg("0.880"), happened_at=make.next_moment()).step
    assert held(leaf)
    assert verify_book() == []


@pytest.mark.parametrize(("asked", "match", "field"), [
    ({"lot": "R26-NONE", "reason": "smoke"}, "No lot R26-NONE", "lot"),
    ({"reason": "  "}, "Say why lot", "reason"),
    ({"reason": "r" * 401}, "Reason has 401 signs, and 400 fit", "reason"),
])
def test_a_hold_needs_a_lot_and_a_reason(asked: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(holding.hold, match, **{"lot": make.RefinedLeaf().code} | asked).field == field


def test_a_recall_says_what_to_do() -> None:
    assert expect_refusal(holding.fetch_back, "Say what a person", lot=make.RefinedLeaf().code, reason="Metal", what_to_do=" ").field == "what_to_do"


def test_a_release_names_a_hold_that_stands_and_its_ground() -> None:
    hold = make.Held()
    assert expect_refusal(holding.release, "There is no hold number 99", hold=99, reason="fine").field == "hold"
    assert expect_refusal(holding.release, "Say on what ground", hold=hold.pk, reason=" ").field == "reason"
    let_go(hold)
    assert expect_refusal(holding.release, "was released before", hold=hold.pk, reason="fine").field == "hold"
    release = Hold.objects.get(ends=hold)
    assert expect_refusal(holding.release, "no hold number", hold=release.pk, reason="fine").field == "hold"
    assert verify_book() == []


def test_by_products_that_are_sorted_again_carry_the_hold_of_their_own_lot_only() -> None:
    leaf = make.RefinedLeaf()
    vein = make.lots_of(leaf.step, "vein_stem")[0]
    make.Held(lot=leaf)
    receipt = refining.batch(
        Act("A", reason=REASON), lot=vein.code, refined=make.kg("0.500", "S2"), refined_moisture=None,
        by_products={"vein_stem": Weight(900_000, "S3")}, happened_at=make.next_moment(),
    )
    assert not held(lot_of(receipt))
    assert verify_book() == []
