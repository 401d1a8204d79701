"""The oven: a whole lot of fresh leaf becomes crude leaf and stem."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.models import Flow, Lot, Step
from lots.read.balances import node_of
from lots.read.verifying import verify_book
from lots.record import drying
from lots.record.acts import Act
from lots.record.lines import Moisture
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal, line

pytestmark = pytest.mark.usefixtures("mill")


def batch(lot: Lot, **other: object) -> dict[str, object]:
    """What 60 kg of fresh leaf at 80.3 % give: 11.82 kg of dry matter."""
    return {
        "lot": lot.code, "crude": make.kg("10.41", "S2"), "crude_moisture": Moisture(Decimal("0.046")), "stem": make.kg("1.74", "S2"),
        "stem_moisture": Moisture(Decimal("0.051")), "oven": "OVEN1", "happened_at": make.next_moment(),
    } | other


def test_an_oven_batch_empties_the_fresh_lot_and_opens_two() -> None:
    fresh = make.FreshLeaf()
    receipt = drying.batch(Act("A"), **batch(fresh, maker_ref="C26-LT1"))
    crude, stem = (Lot.objects.get(code=code) for code in receipt.lots)
    assert [(crude.material, crude.maker_ref), (stem.material, stem.maker_ref)] == [("crude_leaf", "C26-LT1"), ("stem", "")]
    assert (book_mg(fresh), book_mg(crude), book_mg(stem)) == (0, 10_410_000, 1_740_000)
    assert fresh.stock.emptied
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_the_draw_of_a_whole_lot_keeps_the_yard_scale_s_reading() -> None:
    fresh = make.FreshLeaf()
    receipt = drying.batch(Act("A"), **batch(fresh))
    drawn = line(receipt.step, fresh, Flow.Kind.IN)
    opened = line(fresh.step, fresh)
    assert (drawn.mass_mg, drawn.scale.code, drawn.reading_count) == (60_000_000, "S1", 3)
    assert (drawn.sample, drawn.moisture_how) == (opened.sample, "taken over")
    assert verify_book() == []


def test_crude_leaf_for_twice_the_dry_matter_is_asked_about() -> None:
    expect_question(drying.batch, "Look at the scale and the ticket again", **batch(make.FreshLeaf(), crude=make.kg("20.41", "S2")))
    assert verify_book() == []


def test_without_a_moisture_of_the_leaf_nothing_can_be_judged_and_nobody_is_asked() -> None:
    fresh = make.FreshLeaf(moisture=None)
    receipt = drying.batch(Act("A"), **batch(fresh, crude=make.kg("20.41", "S2")))
    assert Step.objects.get(pk=receipt.step).questioned == ""
    assert node_of(receipt.step).balance.verdict is Verdict.CANNOT
    assert verify_book() == []


def test_leaf_that_was_spilled_has_the_sample_of_the_crude_leaf() -> None:
    receipt = drying.batch(Act("A"), **batch(make.FreshLeaf(), losses={"spill": make.kg("0.20", "S2"), "sample": make.kg("0.05", "S2")}))
    lines = Flow.objects.filter(step=receipt.step)
    samples = set(lines.filter(kind=Flow.Kind.LOST).values_list("sample", flat=True))
    assert samples == {lines.get(role="crude_leaf", kind=Flow.Kind.OUT).sample}
    assert verify_book() == []


def test_a_batch_without_stem_opens_one_lot() -> None:
    receipt = drying.batch(Act("A"), **batch(make.FreshLeaf(), crude=make.kg("12.15", "S2"), stem=None, stem_moisture=None))
    assert len(receipt.lots) == 1
    assert verify_book() == []


def test_a_lot_that_went_through_the_oven_before_is_refused() -> None:
    fresh = make.FreshLeaf()
    make.CrudeLeaf(lot=fresh)
    assert expect_refusal(drying.batch, "Nothing of lot .* is left in the book", **batch(fresh)).field == "lot"


def test_a_lot_that_nobody_opened_is_refused() -> None:
    assert expect_refusal(drying.batch, "No lot H26-NONE is in the book", **batch(make.FreshLeaf()) | {"lot": "H26-NONE"}).field == "lot"


def test_another_material_in_the_oven_is_asked_about() -> None:
    expect_question(drying.batch, "is crude leaf; here fresh leaf goes in", **batch(make.CrudeLeaf(), crude=make.kg("10.2", "S2"), stem=None))
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"crude": make.kg("0", "S2")}, "crude leaf must be more than nothing", ""),
    ({"stem": make.kg("-1", "S2")}, "stem must be more than nothing", ""),
    ({"oven": "OVEN9"}, "register of machines", "oven"),
    ({"losses": {"cat": make.kg("0.1")}}, "cat is not a loss that is known here. Name it spill or", "losses"),
    ({"losses": {"spill": make.kg("0")}}, "spill must be more than nothing", ""),
    ({"crude_moisture": Moisture(Decimal("0.046"), "guessed")}, "Moisture how is one of", "moisture_how"),
    ({"lower_tier_c": 2**40}, "Lower tier c must lie between", "lower_tier_c"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(drying.batch, match, **batch(make.FreshLeaf(), **other)).field == field
