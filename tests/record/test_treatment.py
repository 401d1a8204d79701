"""What was put on a plot, and from which day it may be plucked."""

from __future__ import annotations

import datetime as dt

import pytest

from lots.models import FieldTreatment
from lots.read.verifying import verify_book
from lots.record import treatment
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import expect_refusal

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
