"""Oven: crude leaf and stem of one delivery."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Flow, LeafDrying, Lot, Stock
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/oven/"


def batch(fresh: Lot, **other: str) -> dict[str, str]:
    """60.00 kg at 80.3 % are 11.82 kg dry: 10.41 kg of leaf and 1.74 kg of stem are what comes out."""
    return typed(**{
        "lot": fresh.code, "crude_mg": "10.41", "crude_moisture": "4.6", "crude_moisture_basis": "wet", "stem_mg": "1.74",
        "stem_moisture": "5.1", "stem_moisture_basis": "wet", "scale": "S2", "oven": "OVEN1", **other,
    })


def test_a_batch_is_written_down(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    told = written(clerk, URL, batch(fresh, lower_tier_c="180"))
    crude, stem = Lot.objects.get(material="crude_leaf"), Lot.objects.get(material="stem")
    assert (crude.mass_mg, stem.mass_mg) == (10_410_000, 1_740_000)
    assert Stock.objects.get(lot=fresh).book_mg == 0
    assert LeafDrying.objects.get().lower_tier_c == 180
    assert "Crude leaf 10.41 kg, stem 1.74 kg" in told


def test_a_batch_is_found_by_the_houses_own_number(clerk: Client) -> None:
    fresh = factories.FreshLeaf(maker_ref="H26-LT1")
    written(clerk, URL, batch(fresh, lot="h26-lt1"))
    assert Lot.objects.filter(material="crude_leaf").exists()


def test_the_leaf_that_waits_is_one_press_away(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    html = clerk.get(URL).content.decode()
    assert f"{URL}?lot={fresh.code}" in html
    said = page(clerk.get(f"{URL}?lot={fresh.code}"))
    assert "fresh leaf, Lantern Terrace, Saemidori, organic. 60.00 kg in the book." in said


def test_while_typing_the_leaf_that_is_still_to_find(clerk: Client) -> None:
    fresh, before = factories.FreshLeaf(), entries()
    only_leaf = clerk.post(f"{URL}live/", batch(fresh, stem_mg="")).content.decode()
    both = clerk.post(f"{URL}live/", batch(fresh)).content.decode()
    assert "Still to find" in only_leaf or "Adds up so far" in only_leaf
    assert "Adds up so far" in both
    assert entries() == before


def test_half_the_leaf_is_missing_and_it_is_asked_about(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    answer = clerk.post(URL, batch(fresh, crude_mg="5.41"))
    assert "The oven lost" in page(answer)
    assert not Lot.objects.filter(material="crude_leaf").exists()
    written(clerk, URL, {**batch(fresh, crude_mg="5.41"), **asked(answer), "act_reason_own": "Half of it burnt"})
    step = Lot.objects.get(material="crude_leaf").step
    assert step.reason == "Half of it burnt"
    assert "The oven lost" in step.questioned


def test_no_stem_is_typed_as_nothing(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    fields = batch(fresh, stem_mg="0", stem_moisture="", crude_mg="12.00")
    told = written(clerk, URL, fields)
    assert "stem 0 g" in told
    assert not Lot.objects.filter(material="stem").exists()


def test_the_stem_is_not_forgotten(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    said = refused(clerk, URL, batch(fresh, stem_mg=""))
    assert "Stem, in kilograms; 0 if there was none" in said


def test_sixty_one_kilograms_in_one_weighing(clerk: Client) -> None:
    fresh = factories.FreshLeaf(fresh=factories.kg("400.00", "S1", 20), bag_count=20)
    fields = batch(fresh, crude_mg="69.40", stem_mg="11.60")
    assert "Scale S2 weighs up to 60 kg at once. In how many weighings was it?" in refused(clerk, URL, fields)
    written(clerk, URL, {**fields, "crude_count": "2"})
    assert Flow.objects.get(role="crude_leaf").reading_count == 2


def test_a_spill_has_a_name(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    fields = batch(fresh, crude_mg="9.91", lost_mg="0.50")
    assert "What became of it? Choose one." in refused(clerk, URL, fields)
    written(clerk, URL, {**fields, "lost_as": "spill"})
    assert Flow.objects.get(kind="lost").role == "spill"


def test_the_answer_was_lost_and_it_is_sent_again(clerk: Client) -> None:
    fresh = factories.FreshLeaf()
    assert "nothing was written twice" in sent_twice(clerk, URL, batch(fresh))
    assert Lot.objects.filter(material="crude_leaf").count() == 1


def test_the_disk_fails_and_nothing_is_written(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fresh = factories.FreshLeaf()
    fields = batch(fresh)
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.CrudeLeaf()
    fresh = factories.FreshLeaf()
    clerk.get(URL)
    with django_assert_max_num_queries(26):  # type: ignore[operator]
        clerk.get(f"{URL}?lot={fresh.code}")
