"""Clean-down: only a machine that was opened ends the contact."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import CleanDown
from tests import factories
from tests.desk.conftest import broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/clean-down/"


def test_opened_and_cleaned(clerk: Client) -> None:
    told = written(clerk, URL, typed(equipment="sp1", opened="yes", result="brushed, nothing left"))
    row = CleanDown.objects.get()
    assert (row.step.equipment.code, row.opened, row.result) == ("SP1", True, "brushed, nothing left")
    assert "what comes next does not touch the leaf before" in told


def test_wiped_only(clerk: Client) -> None:
    told = written(clerk, URL, typed(equipment="SIEVE1", opened="no"))
    assert not CleanDown.objects.get().opened
    assert "may still touch the leaf before" in told


def test_whether_it_was_opened_is_asked(clerk: Client) -> None:
    assert "Choose one." in refused(clerk, URL, typed(equipment="SP1"))


def test_a_machine_that_nobody_knows(clerk: Client) -> None:
    assert "SP9 is not in the register of machines" in refused(clerk, URL, typed(equipment="SP9", opened="yes"))


def test_the_tag_says_which_machine(clerk: Client) -> None:
    assert "OVEN1, Oven1." in clerk.post(f"{URL}live/", typed(equipment="oven1")).content.decode()


def test_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, typed(equipment="SP1", opened="yes"))


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = typed(equipment="SP1", opened="yes")
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Cleaned()
    said = page(clerk.get(URL))
    assert "Opened and cleaned inside." in said
    with django_assert_max_num_queries(14):  # type: ignore[operator]
        clerk.get(URL)
