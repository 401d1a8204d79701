"""Blends: poured in order, beside a plan; what is meant and cannot be kept is asked about before it is written."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.models import Blending, Flow, Lot, Step
from lots.read.balances import node_of
from lots.read.blending import open_plans, plan_told
from lots.read.composing import folded_shares, stored_shares
from lots.read.machines import all_contacts
from lots.read.tracing import trace
from lots.read.verifying import verify_book
from lots.record import blending
from lots.record.acts import Act
from lots.record.blend_plan import Planned
from lots.record.blending import Mixed, Poured
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.house import BlendedLeaf, BlendedPowder, BlendPlanned, book_mg, mixer, two_plots
from tests.record.asking import expect_question, expect_refusal, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")
MADE = Mixed(make.kg("3.990"), make.kg("0.008"))


def pours(lots: list[Lot], *masses: str) -> list[Poured]:
    return [Poured(lot.code, make.kg(mass)) for lot, mass in zip(lots, masses, strict=True)]


def test_a_blend_of_two_plots_has_the_shares_of_what_was_poured() -> None:
    lots = two_plots()
    made = BlendedLeaf(poured=pours(lots, "3.000", "1.000"))
    shares = {plot: share for _harvest, plot, share in stored_shares(made.step_id)}
    assert shares == pytest.approx({"P1": 0.75, "P2": 0.25})
    assert {p: s for _h, p, s in folded_shares(made.step_id)} == pytest.approx(shares)
    assert [lot.material for lot in Lot.objects.filter(step=made.step_id).order_by("pk")] == ["refined_leaf", "left_over"]
    assert node_of(made.step_id).balance.verdict is Verdict.ADDS_UP
    assert (trace(made).own.stage, trace(made).own.column) == ("blending", 3)
    assert verify_book() == []


def test_lineage_goes_through_blend_stones_and_sieve_to_both_plots() -> None:
    blend = BlendedLeaf()
    sieved = make.Sieved(lots=make.mill(blend).tubs)
    assert {plot: share for _h, plot, share in stored_shares(sieved.step_id)} == pytest.approx({"P1": 0.75, "P2": 0.25})
    assert {origin.plot for origin in trace(sieved).origins} == {"P1", "P2"}
    assert verify_book() == []


def test_the_order_of_the_lines_is_the_order_of_pouring() -> None:
    first, second = two_plots()
    made = BlendedLeaf(poured=[*pours([second], "1.000"), *pours([first], "2.000"), *pours([second], "1.000")])
    drawn = Flow.objects.filter(step=made.step_id, kind=Flow.Kind.IN).order_by("pk")
    assert [(flow.lot_id, flow.mass_mg) for flow in drawn] == [(second.pk, 1_000_000), (first.pk, 2_000_000), (second.pk, 1_000_000)]


def test_powder_is_blended_and_packed() -> None:
    made = BlendedPowder()
    assert made.material == "sieved_powder"
    assert book_mg(make.Packed(lots=[made])) == 604_000
    assert verify_book() == []


def test_the_mixer_hands_leaf_on_until_it_is_cleaned() -> None:
    machine = mixer()
    one = BlendedLeaf(mixed=Mixed(make.kg("3.990"), make.kg("0.008"), mixer=machine))
    two = BlendedLeaf(mixed=Mixed(make.kg("3.990"), make.kg("0.008"), mixer=machine))
    contact = next(each for each in all_contacts() if each.equipment == machine)
    assert (contact.earlier, contact.later, contact.cleaned_by) == (one.step_id, two.step_id, None)
    make.Cleaned(equipment=machine)
    three = BlendedLeaf(mixed=Mixed(make.kg("3.990"), make.kg("0.008"), mixer=machine))
    last = [each for each in all_contacts() if each.equipment == machine][-1]
    assert (last.later, last.cleaned_by is None) == (three.step_id, False)


def test_a_plan_waits_until_it_is_poured_and_stands_beside_what_was() -> None:
    lots = two_plots()
    parts = [Planned(lot.code, mass) for lot, mass in zip(lots, (3_000_000, 1_000_000), strict=True)]
    plan = BlendPlanned(parts=parts)
    assert [one.step for one in open_plans()] == [plan.pk]
    made = BlendedLeaf(poured=pours(lots, "2.900", "1.100"), plan=plan.pk)
    assert open_plans() == []
    drawn = [(lots[0], 2_900_000), (lots[1], 1_100_000)]
    assert [line.off_mg for line in plan_told(plan.pk).beside(drawn)] == [-100_000, 100_000]
    assert Blending.objects.get(pk=made.step_id).plan_id == plan.pk
    assert verify_book() == []


def test_a_claim_that_the_blend_cannot_keep_is_asked_about() -> None:
    lots = two_plots()
    parts = [Planned(lot.code, mass) for lot, mass in zip(lots, (3_000_000, 1_000_000), strict=True)]
    plan = BlendPlanned(parts=parts, kind="cultivar", label="Saemidori", least_frac=Decimal("0.70"))
    asked = {"mixed": MADE, "plan": plan.pk, "happened_at": make.next_moment()}
    receipt = expect_question(
        blending.blend_leaf, "cannot be called at least 70.% Saemidori: by the book it is at most 60.0.%", poured=pours(lots, "2.400", "1.600"),
        **asked,
    )
    take_back(Step.objects.get(pk=receipt.step))
    BlendedLeaf(poured=pours(lots, "3.000", "1.000"), plan=plan.pk)
    assert verify_book() == []


def test_an_unclean_machine_makes_a_claim_undecidable() -> None:
    lots = [make.Sieved(lots=make.mill(leaf, job=f"J{n}").tubs) for n, leaf in enumerate([*two_plots(), *two_plots()[:1]])]
    plan = BlendPlanned(
        parts=[Planned(lot.code, 500_000) for lot in (lots[0], lots[2])], kind="cultivar", label="Saemidori", least_frac=Decimal(1),
        reason="As the book knows it",
    )
    poured = [Poured(lots[0].code, make.kg("0.500")), Poured(lots[2].code, make.kg("0.500"))]
    asked = {"poured": poured, "mixed": Mixed(make.kg("0.999")), "plan": plan.pk, "happened_at": make.next_moment()}
    expect_question(blending.blend_powder, "It cannot be shown that it is Saemidori only", **asked)
    assert verify_book() == []


def test_what_is_no_blend_is_refused() -> None:
    lot = make.RefinedLeaf()
    at = {"mixed": MADE, "happened_at": make.next_moment()}
    assert expect_refusal(blending.blend_leaf, "at least two weighings", poured=pours([lot], "1.000"), **at).field == "poured"
    assert expect_refusal(blending.blend_leaf, "no plan number 999", poured=pours([lot, lot], "1.000", "1.000"), plan=999, **at).field == "plan"


def test_lights_out_before_and_after(monkeypatch: pytest.MonkeyPatch) -> None:
    act, asked = Act("A"), {"poured": pours(two_plots(), "3.000", "1.000"), "mixed": MADE, "happened_at": make.next_moment()}
    writes = Writes(monkeypatch)
    writes.break_off(before=6)
    with pytest.raises(LightsOut):
        blending.blend_leaf(act, **asked)
    writes.break_off(before=-1)
    assert Blending.objects.count() == 0
    assert blending.blend_leaf(act, **asked).lots == blending.blend_leaf(act, **asked).lots
    assert Blending.objects.count() == 1
    assert verify_book() == []
