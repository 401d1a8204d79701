"""A plot is trimmed, and what that means for counting uses."""

from __future__ import annotations

import datetime as dt

import pytest

from lots.models import FieldTrim
from lots.read.verifying import verify_book
from lots.record import trimming
from tests import factories as make
from tests.record.asking import expect_question, expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


class Trimmed(make.Recorded):
    _record = staticmethod(trimming.trim)
    plot = "P1"
    as_plucking = True
    trimmed_on = make.factory.LazyFunction(make.today)


def test_a_trim_is_in_the_book() -> None:
    step = Trimmed()
    row = FieldTrim.objects.get(step=step)
    assert (row.plot.code, row.as_plucking) == ("P1", True)
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"plot": "P9"}, "P9 is not in the register of plots", "plot"),
    ({"trimmed_on": dt.date(2099, 1, 1)}, "has not come yet", "trimmed_on"),
])
def test_what_cannot_be_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"plot": "P1", "as_plucking": True, "trimmed_on": make.today(), "happened_at": make.next_moment()} | other
    assert expect_refusal(trimming.trim, match, **asked).field == field


def test_a_trim_as_deep_as_a_plucking_begins_a_new_count_of_uses() -> None:
    spray = {"product": "Mite stop", "uses_most_count": 1}
    make.Treated(**spray, applied_on=make.today() - dt.timedelta(days=20))
    trim = Trimmed(trimmed_on=make.today() - dt.timedelta(days=10))
    make.Treated(**spray, applied_on=make.today() - dt.timedelta(days=5))
    take_back(trim)
    asked = {"plot": "P1", "applied_on": make.today(), "interval_days": 7, "happened_at": make.next_moment(), **spray}
    expect_question(make.treatment.apply, "use number 3 since the last plucking", **asked)
    assert verify_book() == []


def test_a_light_trim_begins_none() -> None:
    make.Treated(product="Mite stop", uses_most_count=1, applied_on=make.today() - dt.timedelta(days=20))
    Trimmed(as_plucking=False, trimmed_on=make.today() - dt.timedelta(days=10))
    asked = {"plot": "P1", "applied_on": make.today(), "product": "mite stop", "uses_most_count": 1, "happened_at": make.next_moment()}
    expect_question(make.treatment.apply, "use number 2", **asked)
    assert verify_book() == []
