"""Leaf comes in: from a plot, in bags, with a moisture, on a day on which it may be plucked."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from lots.models import Composition, FieldPlot, Flow, HarvestFlush, JournalEntry, Lot, Step
from lots.read.verifying import verify_book
from lots.record import harvest, registers
from lots.record.acts import Act
from lots.record.lines import Moisture, Weight
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


def slip(**other: object) -> dict[str, object]:
    """What stands on an ordinary slip of the yard scale."""
    return {
        "plot": "P1", "cultivar": "Saemidori", "flush_no": 1, "plucked_on": make.today(), "bag_count": 3,
        "fresh": make.kg("60.00", "S1", 3), "moisture": Moisture(Decimal("0.803")), "happened_at": make.next_moment(),
    } | other


def test_a_delivery_opens_one_lot_of_fresh_leaf_from_its_plot() -> None:
    receipt = harvest.intake(Act("A"), **slip(maker_ref="H26-LT1"))
    lot = Lot.objects.get(code=receipt.lots[0])
    flush = HarvestFlush.objects.get(step=receipt.step)
    assert (lot.material, lot.mass_mg, lot.maker_ref, str(lot)) == ("fresh_leaf", 60_000_000, "H26-LT1", "H26-LT1")
    assert (flush.plot.code, flush.cultivar.code, flush.flush_no, flush.bag_count) == ("P1", "Saemidori", 1, 3)
    assert book_mg(lot) == 60_000_000
    assert list(Composition.objects.filter(held_by=receipt.step).values_list("plot_code", "share_frac")) == [("P1", 1.0)]
    assert verify_book() == []


def test_the_entry_says_who_when_and_what_and_names_nobody() -> None:
    receipt = harvest.intake(Act("A"), **slip())
    body = bytes(JournalEntry.objects.get(pk=receipt.seq).body)
    assert b'"type":"harvest.intake"' in body
    assert b'"mass_mg":60000000' in body
    assert b"Hana" not in body
    assert b"Kawasemi" not in body
    assert verify_book() == []


def test_moisture_that_nobody_measured_stays_unknown() -> None:
    receipt = harvest.intake(Act("A"), **slip(moisture=None))
    flow = Flow.objects.get(step=receipt.step)
    assert (flow.moisture_frac, flow.moisture_how, flow.sample) == (None, "", "")
    assert verify_book() == []


@pytest.mark.parametrize(("bag_count", "kilograms"), [(3, "14.9"), (3, "135.1"), (1, "300"), (40, "60")])
def test_bags_that_no_one_could_carry_or_fill_are_asked_about(bag_count: int, kilograms: str) -> None:
    expect_question(harvest.intake, "kg a bag", **slip(bag_count=bag_count, fresh=make.kg(kilograms, "S1", bag_count)))
    assert verify_book() == []


@pytest.mark.parametrize(("bag_count", "kilograms"), [(3, "15"), (3, "135"), (1, "17.8")])
def test_bags_of_5_to_45_kg_are_not(bag_count: int, kilograms: str) -> None:
    harvest.intake(Act("A"), **slip(bag_count=bag_count, fresh=make.kg(kilograms, "S1", bag_count)))
    assert verify_book() == []


def test_leaf_plucked_before_the_interval_has_passed_is_asked_about_and_marked() -> None:
    make.Treated(applied_on=make.today() - dt.timedelta(days=13), interval_days=14)
    receipt = expect_question(harvest.intake, "Mite stop .* may be plucked from", **slip())
    assert "The lot is held" in Step.objects.get(pk=receipt.step).questioned
    assert verify_book() == []


def test_on_the_first_lawful_day_nobody_is_asked() -> None:
    make.Treated(applied_on=make.today() - dt.timedelta(days=14), interval_days=14)
    assert harvest.intake(Act("A"), **slip()).lots
    assert verify_book() == []


def test_another_plot_s_treatment_and_one_after_plucking_do_not_matter() -> None:
    make.Treated(plot="P2", applied_on=make.today(), interval_days=30)
    make.Treated(plot="P1", applied_on=make.today(), interval_days=30)
    assert harvest.intake(Act("A"), **slip(plucked_on=make.today() - dt.timedelta(days=1))).lots
    assert verify_book() == []


def test_a_treatment_that_was_taken_back_asks_nothing() -> None:
    take_back(make.Treated(applied_on=make.today() - dt.timedelta(days=1), interval_days=14))
    assert harvest.intake(Act("A"), **slip()).lots
    assert verify_book() == []


def test_every_treatment_in_force_is_named() -> None:
    for product in ("Mite stop", "Leaf roller"):
        make.Treated(applied_on=make.today() - dt.timedelta(days=2), product=product)
    receipt = expect_question(harvest.intake, "Leaf roller", **slip())
    assert "Mite stop" in Step.objects.get(pk=receipt.step).questioned
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"flush_no": 0}, "counts from 1", "flush_no"),
    ({"bag_count": 0}, "At least one", "bag_count"),
    ({"fresh": Weight(0, "S1")}, "more than nothing", ""),
    ({"fresh": Weight(-5, "S1")}, "more than nothing", ""),
    ({"plot": "P9"}, "P9 is not in the register of plots", "plot"),
    ({"cultivar": "Houshun"}, "not in the register of cultivars", "cultivar"),
    ({"fresh": make.kg("60", "S9")}, "S9 is not in the register of scales", "scale"),
    ({"moisture": Moisture(Decimal(1))}, "cannot be. Was it per 100 dry", "moisture"),
    ({"moisture": Moisture(Decimal("0.999999"))}, "cannot be. Was it per 100 dry", "moisture"),
    ({"moisture": Moisture(Decimal("-0.01"))}, "cannot be", "moisture"),
    ({"moisture": Moisture(of="H26-XX")}, "No lot H26-XX", "moisture"),
    ({"maker_ref": "H" * 41}, "Maker ref has 41 signs, and 40 fit", "maker_ref"),
    ({"basis": "moist"}, "signs", "basis"),
    ({"fresh": Weight(60_000_000, "S1", 2**31)}, "Reading count must lie between", "reading_count"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(harvest.intake, match, **slip(**other)).field == field


def test_leaf_is_not_in_before_it_is_plucked() -> None:
    tomorrow = make.today() + dt.timedelta(days=1)
    assert expect_refusal(harvest.intake, "before it is plucked", **slip(plucked_on=tomorrow)).field == "plucked_on"


def test_what_has_not_come_yet_is_refused() -> None:
    later = timezone.now() + dt.timedelta(minutes=6)
    assert expect_refusal(harvest.intake, "has not come yet", **slip(happened_at=later)).field == "happened_at"


@pytest.mark.parametrize("year", [1997, 1999])
def test_a_year_that_no_lot_code_can_tell_is_refused(year: int) -> None:
    long_ago = dt.datetime(year, 5, 2, tzinfo=dt.UTC)
    assert expect_refusal(harvest.intake, "another century", **slip(happened_at=long_ago, plucked_on=long_ago.date())).field == "happened_at"


def test_a_clock_that_is_four_minutes_fast_is_no_hindrance() -> None:
    soon = timezone.now() + dt.timedelta(minutes=4)
    assert harvest.intake(Act("A"), **slip(happened_at=soon, plucked_on=timezone.localtime(soon).date())).lots
    assert verify_book() == []


def test_a_retired_plot_gives_no_leaf_any_more_and_the_leaf_of_before_can_still_be_booked() -> None:
    last_day = make.next_moment()
    kept = {"name": "Lantern Terrace", "area_a": Decimal("9.00"), "retired": True}
    registers.enter(Act("F"), table="field_plot", code="P1", fields=kept, valid_from_at=last_day + dt.timedelta(days=2))
    expect_refusal(harvest.intake, "P1 is not in the register", **slip(happened_at=last_day + dt.timedelta(days=3)))
    assert harvest.intake(Act("A"), **slip(happened_at=last_day)).lots
    assert verify_book() == []


def test_a_step_points_at_the_version_of_its_day() -> None:
    change = make.next_moment() + dt.timedelta(days=5)
    registers.enter(Act("F"), table="field_plot", code="P1", fields={"name": "Lantern Terrace, lower half", "area_a": Decimal("4.50")},
                    valid_from_at=change)
    before = harvest.intake(Act("A"), **slip(happened_at=change - dt.timedelta(hours=1), plucked_on=make.today()))
    after = harvest.intake(Act("A"), **slip(happened_at=change + dt.timedelta(hours=1), plucked_on=make.today()))
    versions = [HarvestFlush.objects.get(step=r.step).plot.version for r in (before, after)]
    assert versions == [1, 2]
    assert FieldPlot.objects.filter(code="P1").count() == 2
    assert verify_book() == []
