"""The sieve: whole tubs through a screen; what stays on it is a lot of its own with a fate."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.models import Composition, Flow, Lot, SievePass
from lots.read.balances import node_of
from lots.read.verifying import verify_book
from lots.record import milling, sieving
from lots.record.acts import Act
from lots.record.lines import Moisture, Weight
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import REASON, book_mg, expect_question, expect_refusal, line, lot_of

pytestmark = pytest.mark.usefixtures("mill")


def sieve(lots: list[Lot], **other: object) -> dict[str, object]:
    """Two tubs of 0.886 kg."""
    return {
        "lots": [lot.code for lot in lots], "screen": "SC150", "through": make.kg("1.757"), "oversize": make.kg("0.010"),
        "happened_at": make.next_moment(),
    } | other


def test_tubs_become_sieved_powder_and_oversize() -> None:
    tubs = make.mill().tubs
    receipt = sieving.sieve(Act("A"), **sieve(tubs, oversize_fate=SievePass.Fate.REMILL, maker_ref="S26-01"))
    lots = [Lot.objects.get(code=code) for code in receipt.lots]
    assert [(lot.material, lot.maker_ref) for lot in lots] == [("sieved_powder", "S26-01"), ("oversize", "")]
    row = SievePass.objects.get(step=receipt.step)
    assert (row.screen.aperture_um, row.oversize_fate) == (150, "mill again")
    assert [book_mg(t) for t in tubs] == [0, 0]
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_tubs_on_one_sample_lend_it_to_the_powder_and_others_do_not() -> None:
    one, other = make.mill(), make.mill(pair="SP2", job="J2")
    same = lot_of(sieving.sieve(Act("A"), **sieve(one.tubs)))
    assert line(same.step, same).sample == line(one.tubs[0].step, one.tubs[0]).sample
    third = make.mill(job="J3")
    mixed = lot_of(sieving.sieve(Act("A"), **sieve([*other.tubs, *third.tubs], through=make.kg("3.514"), oversize=make.kg("0.021"))))
    assert line(mixed.step, mixed).moisture_frac is None
    assert verify_book() == []


def test_a_moisture_of_its_own_stands_before_that_of_the_tubs() -> None:
    powder = lot_of(sieving.sieve(Act("A"), **sieve(make.mill().tubs, moisture=Moisture(Decimal("0.045")))))
    assert line(powder.step, powder).moisture_frac == Decimal("0.04500")
    assert verify_book() == []


def test_one_tub_scanned_by_its_code_and_by_its_name_is_drawn_once() -> None:
    make.Load()
    tub = make.Tub(maker_ref="T26-01-1")
    spelled = f"{tub.code[:3]}-{tub.code[3:]}".lower()
    receipt = sieving.sieve(Act("A"), **sieve([tub], through=make.kg("0.878"), oversize=make.kg("0.005"))
                            | {"lots": [tub.code, "T26-01-1", tub.code, spelled]})
    assert Flow.objects.filter(step=receipt.step, kind=Flow.Kind.IN).count() == 1
    assert book_mg(tub) == 0
    assert verify_book() == []


def test_powder_that_vanished_in_the_sieve_is_asked_about() -> None:
    expect_question(sieving.sieve, "Look at the scale", **sieve(make.mill().tubs, through=make.kg("1.657")))
    assert verify_book() == []


def test_oversize_is_milled_again_and_what_is_made_of_it_comes_from_the_same_field() -> None:
    first = lot_of(sieving.sieve(Act("A"), **sieve(make.mill().tubs, through=make.kg("1.457"), oversize=make.kg("0.310"))), 1)
    milling.load(Act("A"), pair="SP2", lot=first.code, charge=make.kg("0.310"), job="J2", happened_at=make.next_moment())
    again = make.Tub(pair="SP2", powder=make.kg("0.308"), ground_h=Decimal(8))
    make.Closed(pair="SP2")
    assert dict(Composition.objects.filter(held_by=again.step.origin.held_by).values_list("plot_code", "share_frac")) == {"P1": 1.0}
    assert verify_book() == []


def test_leaf_on_the_sieve_is_asked_about() -> None:
    leaf = make.RefinedLeaf()
    made = str(Decimal(leaf.mass_mg - 30_000) / 1_000_000)
    expect_question(sieving.sieve, "is refined leaf; here powder in tubs or bulk powder", **sieve([leaf], through=make.kg(made), oversize=Weight(0)))
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"lots": []}, "at least one", "lots"),
    ({"lots": ["T26-NONE"]}, "No lot T26-NONE", "lots"),
    ({"screen": "SC90"}, "register of screens", "screen"),
    ({"through": Weight(0)}, "more than nothing", ""),
    ({"oversize": Weight(-1)}, "more than nothing", ""),
    ({"oversize_fate": "eat"}, "Oversize fate is one of mill again, not decided, reject", "oversize_fate"),
    ({"losses": {"spoiled": make.kg("0.01")}}, "spoiled is not a loss that is known here", "losses"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(sieving.sieve, match, why=REASON, **sieve(make.mill().tubs) | other).field == field
