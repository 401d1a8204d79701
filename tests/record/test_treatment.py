"""What was put on a plot, and from which day it may be plucked."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from lots.models import FieldTreatment, NeighbourNotice
from lots.read.verifying import verify_book
from lots.record import treatment
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import expect_question, expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


def spray(**other: object) -> dict[str, object]:
    return {"plot": "P2", "applied_on": make.today(), "product": "Mite stop", "interval_days": 14, "happened_at": make.next_moment()} | other


def test_a_treatment_stands_with_its_product_dose_and_interval() -> None:
    receipt = treatment.apply(Act("A"), **spray(product="  Mite stop ", substance="milbemectin", dose="300 L in 10 a"))
    row = FieldTreatment.objects.get(step=receipt.step)
    assert (row.plot.code, row.product, row.substance, row.dose, row.interval_days) == ("P2", "Mite stop", "milbemectin", "300 L in 10 a", 14)
    assert verify_book() == []


def test_a_fertiliser_has_no_interval() -> None:
    receipt = treatment.apply(Act("A"), **spray(product="Rapeseed cake", interval_days=0))
    assert FieldTreatment.objects.get(step=receipt.step).interval_days == 0
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"product": "  "}, "product's name is missing", "product"),
    ({"interval_days": -1}, "cannot be below nothing", "interval_days"),
    ({"plot": "P9"}, "register of plots", "plot"),
    ({"dose": "x" * 81}, "Dose has 81 signs, and 80 fit", "dose"),
    ({"interval_days": 2**31}, "Interval days must lie between", "interval_days"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(treatment.apply, match, **spray(**other)).field == field


def test_a_treatment_of_tomorrow_is_refused() -> None:
    assert expect_refusal(treatment.apply, "has not come yet", **spray(applied_on=make.today() + dt.timedelta(days=1))).field == "applied_on"


def test_what_the_label_and_the_tank_say_is_kept() -> None:
    asked = spray(kind="pesticide", water_l_per_10_a=Decimal(400), uses_most_count=2, batch="LOT 7", operator="A")
    row = FieldTreatment.objects.get(step=treatment.apply(Act("A"), **asked).step)
    assert (row.kind, row.water_l_per_10_a, row.uses_most_count, row.batch, row.operator.code) == ("pesticide", 400, 2, "LOT 7", "A")
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"kind": "tonic"}, "is one of", "kind"),
    ({"water_l_per_10_a": Decimal(-1)}, "cannot be below nothing", "water_l_per_10_a"),
    ({"uses_most_count": 0}, "at least one use", "uses_most_count"),
    ({"operator": "Z"}, "Z is not in the register of staff", "operator"),
])
def test_what_no_packet_says_is_refused(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(treatment.apply, match, **spray(**other)).field == field


def test_one_use_more_than_the_label_allows_is_asked_about() -> None:
    for days in (20, 10):
        make.Treated(plot="P2", applied_on=make.today() - dt.timedelta(days=days))
    expect_question(treatment.apply, "use number 3 since the last plucking, and the label allows 2", **spray(uses_most_count=2))
    assert verify_book() == []


def test_a_plucking_begins_a_new_count() -> None:
    make.Treated(plot="P2", applied_on=make.today() - dt.timedelta(days=30))
    make.FreshLeaf(plot="P2", plucked_on=make.today() - dt.timedelta(days=10))
    assert treatment.apply(Act("A"), **spray(uses_most_count=1)).step
    assert verify_book() == []


class Noticed(make.Recorded):
    _record = staticmethod(treatment.notice)
    plot = "P1"
    sprays_on = make.factory.LazyFunction(lambda: make.today() + dt.timedelta(days=5))


def beside(plot: str = "P1") -> None:
    make.enter("plot_neighbour", "N1", plot=plot, side="NE", distance_m=4, grows="rice", kept_apart="hedge", buffer_m=3)


def test_a_neighbours_notice_may_lie_ahead() -> None:
    beside()
    step = Noticed(neighbour="N1", product="Rice blast dust", kept_apart="two rows left")
    row = NeighbourNotice.objects.get(step=step)
    assert (row.plot.code, row.neighbour.grows, row.sprays_on) == ("P1", "rice", make.today() + dt.timedelta(days=5))
    take_back(step)
    assert verify_book() == []


def test_a_neighbour_of_another_plot_is_refused() -> None:
    beside("P2")
    asked = {"plot": "P1", "neighbour": "N1", "sprays_on": make.today(), "happened_at": make.next_moment()}
    assert expect_refusal(treatment.notice, "N1 lies beside plot P2, not beside P1", **asked).field == "neighbour"
