"""For hire, across the door: what may leave, to whom, and on which paper."""

from __future__ import annotations

from typing import Any

import pytest

from lots.models import Hold
from lots.read.verifying import verify_book
from lots.record import entrusting
from tests import factories as make
from tests.record.asking import book_mg, expect_refusal
from tests.record.goods import Entrusted, HandedOver, party, theirs

pytestmark = pytest.mark.usefixtures("mill")


@pytest.fixture(autouse=True)
def others(mill: None) -> None:
    for code in ("O1", "O2", "M2"):
        party(code)


def test_a_part_of_a_lot_can_be_sent() -> None:
    leaf = make.RefinedLeaf()
    gone = Entrusted(lot=leaf, weighed=make.kg("1.000", "S3"))
    assert (gone.mass_mg, book_mg(leaf)) == (1_000_000, leaf.mass_mg - 1_000_000)
    assert verify_book() == []


def test_goods_of_others_go_home_and_nowhere_else() -> None:
    lot, ours = theirs(), make.RefinedLeaf()
    expect_refusal(entrusting.hand_over, "belongs to O1, not to O2", lots=[lot.code], party="O2", paper_no="H-3")
    expect_refusal(entrusting.hand_over, "belongs to the house", lots=[ours.code], party="O1", paper_no="H-3")
    HandedOver(lots=[lot])
    assert book_mg(lot) == 0
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match"), [
    ({"paper_no": " "}, "number of the paper"), ({"party": "XX"}, "not in the register"),
])
def test_what_cannot_be_sent_is_refused(other: dict[str, Any], match: str) -> None:
    leaf = make.RefinedLeaf()
    expect_refusal(entrusting.send, match, **{"lot": leaf.code, "party": "M2", "paper_no": "H-1"} | other)


def test_what_is_held_does_not_leave_for_hire() -> None:
    leaf = make.RefinedLeaf()
    make.Held(lot=leaf)
    assert Hold.objects.count() == 1
    expect_refusal(entrusting.send, "is stopped", lot=leaf.code, party="M2", paper_no="H-1")
