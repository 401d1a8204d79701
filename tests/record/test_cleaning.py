"""A clean-down: only a machine that was opened ends the contact with the leaf before it."""

from __future__ import annotations

import pytest

from lots.genealogy.contact import contacts
from lots.models import CleanDown
from lots.read.machines import cleans, uses
from lots.read.verifying import verify_book
from lots.record import cleaning
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


def two_jobs(between: str) -> list[int | None]:
    """Two jobs on one pair; by which clean-down each contact between them is excluded."""
    make.mill()
    if between:
        clean = make.Cleaned(opened=between == "opened")
        if between == "taken back":
            take_back(clean)
    make.mill(job="J2")
    return [contact.cleaned_by for contact in contacts(uses(), cleans()) if contact.equipment == "SP1"]


def test_a_clean_down_stands_with_what_was_found() -> None:
    receipt = cleaning.clean(Act("A"), equipment="SP1", opened=True, result="brushed, nothing left", happened_at=make.next_moment())
    row = CleanDown.objects.get(step=receipt.step)
    assert (row.opened, row.result, row.step.equipment.code) == (True, "brushed, nothing left", "SP1")
    assert verify_book() == []


@pytest.mark.parametrize(("between", "ends"), [("", False), ("wiped", False), ("opened", True), ("taken back", False)])
def test_contact_ends_where_the_machine_was_opened_and_stands(between: str, ends: bool) -> None:
    excluded = two_jobs(between)
    assert [by is not None for by in excluded] == [ends]
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"equipment": "SP9"}, "register of machines", "equipment"),
    ({"result": "r" * 121}, "Result has 121 signs", "result"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(cleaning.clean, match, **{"equipment": "SP1", "opened": True} | other).field == field
