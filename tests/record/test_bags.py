"""A delivery weighed bag by bag: readings, slips, deducted water, leaf that came too early."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from lots.models import Flow, HarvestBag, HarvestFlush, Hold, Lot, Step, Stock
from lots.read.holding import holds_on_lot
from lots.read.names import opened
from lots.read.verifying import verify_book
from lots.record import harvest, holding, treatment
from lots.record.acts import Act
from lots.record.errors import Questioned, Refused
from lots.record.harvest import Deducted, Round
from lots.record.lines import Moisture, Weight
from tests import factories as make
from tests.record.asking import REASON, book_mg, expect_question, expect_refusal, lot_of, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")
KG = 1_000_000


def slip(*bags_kg: str, **other: object) -> dict[str, object]:
    """A delivery in bags of some kilograms."""
    bags = tuple(int(Decimal(mass) * KG) for mass in bags_kg)
    return {
        "plot": "P1", "cultivar": "Saemidori", "flush_no": 1, "plucked_on": make.today(), "bag_count": len(bags),
        "fresh": Weight(sum(bags), "S1", len(bags)), "bags_mg": bags, "moisture": Moisture(Decimal("0.803")),
        "happened_at": make.next_moment(),
    } | other


def test_every_bag_is_a_reading_in_its_order() -> None:
    receipt = harvest.intake(Act("A"), **slip("19.50", "20.10", "18.40"))
    assert list(HarvestBag.objects.filter(step=receipt.step).order_by("bag_no").values_list("bag_no", "mass_mg")) == [
        (1, 19_500_000), (2, 20_100_000), (3, 18_400_000),
    ]
    flow = Flow.objects.get(step=receipt.step)
    assert (flow.mass_mg, flow.reading_count) == (58 * KG, 3)
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"fresh": Weight(59 * KG, "S1", 3)}, "come to 58.000 kg, and the delivery says 3 bags of 59.000 kg", "bags_mg"),
    ({"bag_count": 4}, "3 bags come to", "bags_mg"),
    ({"bags_mg": (58 * KG, 0, 0)}, "Bag 2 weighs nothing", "bags_mg"),
    ({"water": Deducted(KG, " ")}, "Say why water is deducted", "water_reason"),
    ({"water": Deducted(58 * KG, "rain")}, "cannot be deducted", "water_mg"),
    ({"water": Deducted(-1, "rain")}, "cannot be deducted", "water_mg"),
    ({"plucked": Round(carrier="V9")}, "V9 is not in the register", "carrier"),
    ({"plucked": Round(method="spoon")}, "is one of", "method"),
])
def test_what_cannot_be_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(harvest.intake, match, **slip("19.50", "20.10", "18.40", **other)).field == field


@pytest.mark.parametrize(("bags", "number"), [(("20", "19", "40.5", "20"), 3), (("20", "9.5", "19", "20"), 2)])
def test_a_bag_at_double_or_half_the_others_is_asked_about_once(bags: tuple[str, ...], number: int) -> None:
    expect_question(harvest.intake, f"Bag {number} of .* far off the others", **slip(*bags))
    assert verify_book() == []


def test_a_mean_far_off_the_plots_usual_bag_is_asked_about() -> None:
    for _ in range(3):
        make.FreshLeaf()
    expect_question(harvest.intake, "bags of Lantern Terrace usually weigh 20.0 kg", **slip("12", "11.5"))
    assert verify_book() == []


def test_a_flush_that_brings_far_more_than_the_plot_ever_did_is_asked_about() -> None:
    for flush_no, days in ((1, 80), (2, 40)):
        early = make.today() - dt.timedelta(days=days)
        make.FreshLeaf(plucked_on=early, flush_no=flush_no, bag_count=3, fresh=make.kg("60", "S1", 3))
    asked = slip("32", "33", "34", flush_no=3)
    expect_question(harvest.intake, "comes to 110 kg per 10 a in this flush; the most it ever brought in one is 67", **asked)
    assert verify_book() == []


def test_deducted_water_is_a_line_of_its_own_and_the_scale_figure_stays() -> None:
    receipt = harvest.intake(Act("A"), **slip("19.50", "20.10", "18.40", water=Deducted(1_200_000, " dew on the leaf ")))
    lot = lot_of(receipt)
    assert (lot.mass_mg, book_mg(lot)) == (58 * KG, 56_800_000)
    water = Flow.objects.get(step=receipt.step, role="deducted_water")
    assert (water.kind, water.mass_mg, str(water.moisture_frac)) == ("difference", -1_200_000, "0.80300")
    assert HarvestFlush.objects.get(step=receipt.step).water_reason == "dew on the leaf"
    dried = make.CrudeLeaf(lot=lot)
    assert Flow.objects.get(step=dried.step, kind="in").mass_mg == 56_800_000
    assert Stock.objects.get(lot=lot).book_mg == 0
    assert verify_book() == []


def test_a_delivery_with_deducted_water_can_be_taken_back() -> None:
    receipt = harvest.intake(Act("A"), **slip("19.50", "20.10", water=Deducted(KG, "rain")))
    take_back(Step.objects.get(pk=receipt.step))
    assert book_mg(lot_of(receipt)) == 0
    assert verify_book() == []


def test_team_is_sealed_and_the_round_is_kept() -> None:
    until = make.next_moment() - dt.timedelta(minutes=30)
    how = Round(team="Ume, Sora", carrier="V1", method="two-man cutter", leaf_wet=True, plucked_until_at=until)
    row = HarvestFlush.objects.get(step=harvest.intake(Act("A"), **slip("19.5", "20", plucked=how)).step)
    assert opened([row.team]) == {row.team: "Ume, Sora"}
    assert (row.carrier.code, row.method, row.leaf_wet, row.plucked_until_at) == ("V1", "two-man cutter", True, until)
    assert verify_book() == []


def early_leaf(**other: object) -> dict[str, object]:
    make.Treated(applied_on=make.today() - dt.timedelta(days=3), interval_days=14)
    return slip("19.50", "20.10", "18.40", **other)


def test_leaf_that_came_too_early_is_taken_and_held_in_the_same_act() -> None:
    receipt = expect_question(harvest.intake, "is held until the quality lead releases it", **early_leaf())
    hold = Hold.objects.get()
    assert (hold.lot, hold.kind, hold.entry_id) == (lot_of(receipt), "hold", receipt.seq)
    assert "before the interval had passed" in hold.reason
    assert "Mite stop" in hold.reason
    assert [h.id for h in holds_on_lot(hold.lot)] == [hold.pk]
    dried = make.CrudeLeaf(lot=hold.lot)
    assert [h.id for h in holds_on_lot(dried)] == [hold.pk]
    holding.release(Act("C"), hold=hold.pk, reason="Residue result C-4 is under the limit", happened_at=make.next_moment())
    assert holds_on_lot(dried) == []
    assert verify_book() == []


def test_leaf_of_a_lawful_day_is_not_held() -> None:
    make.Treated(applied_on=make.today() - dt.timedelta(days=14), interval_days=14)
    harvest.intake(Act("A"), **slip("19.50", "20.10"))
    assert Hold.objects.count() == 0
    assert verify_book() == []


def test_the_power_goes_at_every_place_and_nothing_of_it_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, act = early_leaf(water=Deducted(KG, "dew"), plucked=Round(team="Ume")), Act("A", reason=REASON)
    before, writes, broken = standing(), Writes(monkeypatch), 0
    while True:
        writes.break_off(before=broken + 1)
        try:
            receipt = harvest.intake(act, **asked)
            break
        except LightsOut:
            broken += 1
            assert standing() == before
    assert broken >= 8
    after = standing()
    assert harvest.intake(act, **asked) == replace(receipt, repeated=True)
    with pytest.raises(Refused, match="sent before with other content"):
        harvest.intake(act, **{**asked, "water": Deducted(2 * KG, "dew")})
    assert standing() == after
    assert Lot.objects.count() == 1
    assert verify_book() == []


def test_all_questions_of_a_delivery_stand_together() -> None:
    with pytest.raises(Questioned) as caught:
        harvest.intake(Act("A"), **early_leaf(fresh=Weight(80 * KG, "S1", 4), bags_mg=(20 * KG, 10 * KG, 30 * KG, 20 * KG), bag_count=4))
    assert "Mite stop" in caught.value.sentence
    with pytest.raises(Questioned, match=r"Bag 1 .*Mite stop"):
        harvest.intake(Act("A"), **slip("50", "20", "20"))


def test_a_treatment_that_is_entered_late_holds_the_leaf_that_was_plucked_meanwhile() -> None:
    lot = lot_of(harvest.intake(Act("A"), **slip("19.50", "20.10")))
    dried = make.CrudeLeaf(lot=lot)
    make.FreshLeaf(plot="P2", plucked_on=make.today())
    late = {"plot": "P1", "applied_on": lot.step.harvestflush.plucked_on - dt.timedelta(days=2), "product": "Mite stop", "interval_days": 14}
    receipt = expect_question(treatment.apply, f"These lots are held .*: {lot}", happened_at=make.next_moment(), **late)
    assert [(hold.lot, hold.entry_id) for hold in Hold.objects.all()] == [(lot, receipt.seq)]
    assert [hold.lot for hold in holds_on_lot(dried)] == [str(lot)]
    assert verify_book() == []


def test_leaf_that_was_plucked_on_the_very_day_came_before_the_treatment() -> None:
    lot = lot_of(harvest.intake(Act("A"), **slip("19.50", "20.10")))
    make.Treated(applied_on=lot.step.harvestflush.plucked_on)
    assert Hold.objects.count() == 0
    assert verify_book() == []
