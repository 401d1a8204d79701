"""An empty book is opened once, with the house and its first badge."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from lots.models import House, JournalEntry, JournalHead, PrivateValue, Staff
from lots.read.verifying import verify_book
from lots.record import registers
from lots.record.acts import Act
from lots.record.errors import Refused
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.django_db
ASKED = {"house": {"name": "Small mill", "contact": "line 12"}, "badge": "F", "name": "Kei Mori"}


def test_the_book_opens_with_the_house_and_the_badge_that_opened_it() -> None:
    registers.found_house(Act("F"), **ASKED, login="kei")
    badge = Staff.objects.get()
    assert (House.objects.get().name, badge.code, badge.login) == ("Small mill", "F", "kei")
    assert json.loads(PrivateValue.objects.get(pk=badge.name).value) == "Kei Mori"
    assert badge.name.encode() in bytes(JournalEntry.objects.get(seq=0).body)
    assert verify_book() == []


def test_an_empty_book_agrees_with_its_empty_journal() -> None:
    assert verify_book() == []


@pytest.mark.parametrize("before", range(1, 7))
def test_it_is_written_once_whatever_breaks(before: int, monkeypatch: pytest.MonkeyPatch) -> None:
    act, writes = Act("F"), Writes(monkeypatch)
    writes.break_off(before=before)
    with pytest.raises(LightsOut):
        registers.found_house(act, **ASKED)
    assert not JournalHead.objects.filter(size__gt=0).exists()
    assert not House.objects.exists()
    writes.break_off(before=-1)
    first = registers.found_house(act, **ASKED)
    assert registers.found_house(act, **ASKED) == replace(first, repeated=True)
    with pytest.raises(Refused, match="sent before"):
        registers.found_house(act, **ASKED | {"badge": "G"})
    assert verify_book() == []


@pytest.mark.parametrize(("house", "match"), [({"name": ""}, "Name is missing"), ({"name": "M", "roof": "thatch"}, "has no field roof")])
def test_a_house_that_cannot_be_is_refused(house: dict[str, str], match: str) -> None:
    with pytest.raises(Refused, match=match):
        registers.found_house(Act("F"), **ASKED | {"house": house})
    assert not JournalEntry.objects.exists()


def test_nothing_is_written_before_the_house_stands() -> None:
    with pytest.raises(Refused, match="Badge F is not in the register"):
        registers.enter(Act("F"), table="cultivar", code="X", fields={"name": "X"})
    assert not JournalEntry.objects.exists()
