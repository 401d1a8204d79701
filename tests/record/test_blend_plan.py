"""Plans of blends: lots and kilograms, and what is meant, asked about where the shares cannot keep it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.read.blending import open_plans, plan_told
from lots.read.verifying import verify_book
from lots.record import blend_plan
from lots.record.blend_plan import Planned
from tests import factories as make
from tests.house import CLAIM, BlendPlanned, two_plots
from tests.record.asking import expect_question, expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


def test_a_plan_keeps_its_lots_in_order_with_what_is_meant() -> None:
    step = BlendPlanned(kind="cultivar", label="Saemidori", least_frac=Decimal("0.7"))
    told = plan_told(step.pk)
    assert told is not None
    assert ([mass for _lot, mass in told.parts], told.kind, told.label, told.least_frac) == ([3_000_000, 1_000_000], "cultivar", "Saemidori", 0.7)
    assert [line.off_mg for line in told.beside([(told.parts[0][0], 3_000_000)])] == [0, -1_000_000]
    take_back(step)
    assert (open_plans(), plan_told(step.pk)) == ([], None)
    assert verify_book() == []


def test_what_cannot_be_kept_and_more_than_there_is_are_asked_about() -> None:
    lots = two_plots()
    parts = [Planned(lot.code, mass) for lot, mass in zip(lots, (3_000_000, 1_000_000), strict=True)]
    expect_question(blend_plan.plan, "It cannot be called organic only", name="Morning", parts=parts, **CLAIM, happened_at=make.next_moment())
    much = [Planned(lot.code, 20_000_000) for lot in lots]
    expect_question(blend_plan.plan, "20.000 kg of lot .* are planned", name="Evening", parts=much, happened_at=make.next_moment())
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"name": " "}, "a name", "name"), ({"parts": []}, "at least two lots", "parts"), ({"kind": "state"}, "Say of what", "label"),
])
def test_what_is_no_plan_is_refused(other: dict[str, object], match: str, field: str) -> None:
    parts = [Planned(lot.code, 1_000_000) for lot in two_plots()]
    asked = {"name": "Morning", "parts": parts, "happened_at": make.next_moment()} | other
    assert expect_refusal(blend_plan.plan, match, **asked).field == field
