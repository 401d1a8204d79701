"""Sorting: four streams, one live sum."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import DriedLeafLot, Flow, Lot
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/sorting/"


def batch(lot: Lot, **other: str) -> dict[str, str]:
    """10.41 kg at 4.6 % are 9.93 kg dry."""
    return typed(**{
        "lot": lot.code, "refined_mg": "7.99", "moisture": "3.0", "moisture_basis": "wet", "vein_stem_mg": "1.46", "fines_mg": "0.54",
        "off_colour_mg": "0.21", "scale": "S2", "sorter": "SORT1", **other,
    })


def test_a_batch_is_written_down(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    told = written(clerk, URL, batch(crude, shelf="B3", grade="first", maker_ref="R26-LT1"))
    dried = DriedLeafLot.objects.get()
    assert (dried.shelf, dried.grade, dried.lot.maker_ref, dried.lot.mass_mg) == ("B3", "first", "R26-LT1", 7_990_000)
    assert sorted(Lot.objects.filter(step=dried.lot.step).values_list("material", flat=True)) == [
        "fines", "off_colour", "refined_leaf", "vein_stem",
    ]
    assert Flow.objects.get(role="fines").moisture_how == "assumed"
    assert "Refined leaf 7.99 kg: lot R" in told


def test_one_live_sum(clerk: Client) -> None:
    crude, before = factories.CrudeLeaf(), entries()
    said = page(clerk.post(f"{URL}live/", batch(crude)))
    assert "Adds up so far" in said
    assert "The streams weigh 10.20 kg together." in said
    assert entries() == before


def test_two_swapped_digits_are_asked_about(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    fields = batch(crude, refined_mg="9.79")
    answer = clerk.post(URL, fields)
    assert "Sorting gave" in page(answer)
    assert 'value="9.79"' in answer.content.decode()
    again = {**fields, "refined_mg": "7.99"}
    written(clerk, URL, again)
    assert Lot.objects.get(material="refined_leaf").step.questioned == ""


def test_it_is_right_and_stays_marked(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    fields = batch(crude, refined_mg="9.79")
    answer = clerk.post(URL, fields)
    written(clerk, URL, {**fields, **asked(answer), "act_reason": "The paper ticket says so"})
    assert "Sorting gave" in Lot.objects.get(material="refined_leaf").step.questioned


def test_more_decimals_than_the_scale_shows(clerk: Client) -> None:
    assert "2 decimals" in refused(clerk, URL, batch(factories.CrudeLeaf(), refined_mg="7.991"))


def test_a_scale_with_three_decimals_takes_three(clerk: Client) -> None:
    written(clerk, URL, batch(factories.CrudeLeaf(), refined_mg="7.991", scale="S3"))
    assert Lot.objects.get(material="refined_leaf").mass_mg == 7_991_000


def test_a_code_in_a_weight_is_no_weight(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    assert "code" in refused(clerk, URL, batch(crude, refined_mg=crude.code))


def test_leaf_that_was_sorted_already(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    factories.RefinedLeaf(lot=crude)
    assert "is left in the book. Look at its label again" in refused(clerk, URL, batch(crude))


def test_the_answer_was_lost_and_it_is_sent_again(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, batch(factories.CrudeLeaf(), maker_ref="R26-1"))
    assert DriedLeafLot.objects.count() == 1


def test_the_disk_fails_and_nothing_is_written(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = batch(factories.CrudeLeaf())
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.RefinedLeaf()
    crude = factories.CrudeLeaf()
    clerk.get(URL)
    with django_assert_max_num_queries(28):  # type: ignore[operator]
        clerk.get(f"{URL}?lot={crude.code}")
