"""Tastings: five marks from 1 to 5, words, blind or not."""

from __future__ import annotations

import datetime as dt

import factory
import pytest

from lots.models import SensoryNote
from lots.read.verifying import verify_book
from lots.record import tasting
from tests import factories as make
from tests.record.asking import expect_refusal

pytestmark = pytest.mark.usefixtures("mill")
MARKS = {"aroma": 4, "taste": 5, "colour": 5, "body": 3, "foam": 4}


class Tasted(make.Recorded):
    _record = staticmethod(tasting.note)
    badge = "C"
    lot = factory.SubFactory(make.CrudeLeaf)
    taster = "C"
    tasted_on = factory.LazyFunction(make.today)
    marks = MARKS
    blind = True
    aroma = "young leaf, a little sea"
    taste = "sweet, long"


def test_a_tasting_keeps_marks_and_words() -> None:
    row = SensoryNote.objects.get(step=Tasted())
    assert (row.taster.code, row.blind, row.aroma, row.taste) == ("C", True, "young leaf, a little sea", "sweet, long")
    assert {name: getattr(row, f"{name}_mark") for name in MARKS} == MARKS
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"marks": MARKS | {"foam": 6}}, "from 1 to 5", "foam_mark"), ({"marks": {}}, "from 1 to 5", "aroma_mark"),
    ({"taster": "Z"}, "register of staff", "taster"), ({"tasted_on": dt.date(2199, 1, 1)}, "not come yet", "tasted_on"),
    ({"lot": "X9"}, "No lot", "lot"),
])
def test_what_cannot_be_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"lot": make.FreshLeaf().code, "taster": "C", "tasted_on": make.today(), "marks": MARKS, "blind": False}
    assert expect_refusal(tasting.note, match, **asked | other).field == field
