"""Milling for hire, both ways: whose it is, who has it, and what comes back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from lots.read.balances import node_of
from lots.read.hiring import hired_lots
from lots.read.verifying import verify_book
from lots.record import dispatch, hiring, sieving
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.record.lines import Moisture
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal, lot_of
from tests.record.goods import Back, Entrusted, party, theirs

pytestmark = pytest.mark.usefixtures("mill")


@pytest.fixture(autouse=True)
def others(mill: None) -> None:
    for code in ("O1", "O2", "M2"):
        party(code)


def test_leaf_that_is_sent_stays_ours_and_is_theirs_to_keep() -> None:
    leaf = make.RefinedLeaf()
    gone = Entrusted(lot=leaf)
    assert (gone.owner, gone.holder.code, gone.material, gone.mass_mg) == (None, "M2", "refined_leaf", leaf.mass_mg)
    assert book_mg(leaf) == 0
    assert [(one.lot.code, one.owner, one.holder) for one in hired_lots()] == [(gone.code, "", "Mill at the bridge")]
    assert verify_book() == []


def test_what_comes_back_is_held_against_what_was_sent() -> None:
    powder = Back()
    node = node_of(powder.step_id)
    assert node is not None
    assert node.balance.verdict == Verdict.ADDS_UP
    assert (powder.material, powder.holder, hired_lots()) == ("tub_powder", None, [])
    assert verify_book() == []


def test_too_little_that_comes_back_is_a_stop() -> None:
    gone = Entrusted()
    short = make.part(gone.mass_mg, 0.80, "S3")
    receipt = hiring.back(
        Act("A", reason="Weighed again, the same figure"), lots=[gone.code], powder=short, left_over=make.kg("0.000"), paper_no="H-2",
        moisture=Moisture(make.POWDER_W), happened_at=make.next_moment(),
    )
    node = node_of(receipt.step)
    assert node is not None
    assert node.balance.verdict == Verdict.STOP
    assert verify_book() == []


def test_a_lot_at_another_mill_is_not_drawn_here_unasked() -> None:
    gone = Entrusted()
    expect_question(make.milling.load, "not in the house: M2 holds it", pair="SP1", lot=gone.code, charge=make.kg("0.880"), job="J1")
    assert verify_book() == []


def test_what_is_made_of_their_leaf_is_theirs() -> None:
    leaf = theirs()
    job = make.mill(leaf)
    sieved = make.Sieved(lots=job.tubs)
    packed = make.Packed(lots=[sieved])
    assert {lot.owner.code for lot in [*job.tubs, sieved, packed]} == {"O1"}
    asked: dict[str, Any] = {"packs": [Packs(packed.code, 2, 1)], "document_no": "D-1"}
    expect_refusal(dispatch.consign, "belongs to O1 and cannot go to B1", consignee="B1", **asked)
    dispatch.consign(Act("A"), consignee="O1", happened_at=make.next_moment(), **asked)
    assert verify_book() == []


def test_goods_of_two_owners_in_one_are_asked_about() -> None:
    tubs = [*make.mill(theirs()).tubs, *make.mill(theirs("O2"), job="J2").tubs]
    receipt = expect_question(
        sieving.sieve, "Goods of O1 and O2 go together", lots=[tub.code for tub in tubs], screen="SC150",
        through=make.part(sum(tub.mass_mg for tub in tubs), 0.991), oversize=make.part(sum(tub.mass_mg for tub in tubs), 0.006),
    )
    assert lot_of(receipt).owner.code == "O2"
    assert verify_book() == []


def test_only_what_one_mill_holds_comes_back() -> None:
    leaf = make.RefinedLeaf()
    asked: dict[str, Any] = {"powder": make.kg("1.000"), "left_over": make.kg("0.000"), "paper_no": "H-2", "moisture": Moisture(Decimal("0.044"))}
    expect_refusal(hiring.back, "Only lots that one other mill holds", lots=[leaf.code], **asked)
    expect_refusal(hiring.back, "at least one", lots=[], **asked)
