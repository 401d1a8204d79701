"""Complaints: tied to lot and code, the person sealed, two on one lot beside each other."""

from __future__ import annotations

import datetime as dt

import factory
import pytest

from lots.models import Complaint, Hold, JournalEntry, PrivateValue
from lots.read.verifying import verify_book
from lots.record import complaining
from tests import factories as make
from tests.record.asking import expect_refusal

pytestmark = pytest.mark.usefixtures("mill")


class Complained(make.Recorded):
    _record = staticmethod(complaining.take)
    lot = factory.SubFactory(make.Packed)
    pack_code = "P7K2"
    received_on = factory.LazyFunction(make.today)
    what = "A hair in the tin"
    seriousness = "serious"
    contact = "Haru Mori, telephone 12"
    done = "Tin replaced"


def test_a_complaint_is_tied_to_its_lot_and_its_person_is_sealed() -> None:
    step = Complained()
    row = Complaint.objects.get(step=step)
    assert (row.pack_code, row.what, row.seriousness, row.done) == ("P7K2", "A hair in the tin", "serious", "Tin replaced")
    assert PrivateValue.objects.get(pk=row.contact).value == '"Haru Mori, telephone 12"'
    assert "Haru" not in bytes(JournalEntry.objects.get(pk=step.entry_id).body).decode()
    assert not Hold.objects.exists()
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"what": " "}, "what was complained of", "what"), ({"seriousness": "bad"}, "how serious", "seriousness"),
    ({"received_on": dt.date(2199, 1, 1)}, "not come yet", "received_on"), ({"lot": "X9"}, "No lot", "lot"),
])
def test_what_cannot_be_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"lot": make.FreshLeaf().code, "received_on": make.today(), "what": "Bitter", "seriousness": "minor"}
    assert expect_refusal(complaining.take, match, **asked | other).field == field
