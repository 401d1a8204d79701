"""Stock count: the book's figure is shown only after the count is in."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Lot, Stock, StockCount
from tests import factories
from tests.desk.conftest import asked, broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/stock-count/"


def counted(lot: Lot, **other: str) -> dict[str, str]:
    return typed(**{"lot": lot.code, "counted_mg": "7.99", "scale": "S2", **other})


def test_the_count_is_blind(clerk: Client) -> None:
    lot = factories.RefinedLeaf()
    for said in (page(clerk.get(f"{URL}?lot={lot.code}")), clerk.post(f"{URL}live/", counted(lot)).content.decode()):
        assert "refined leaf, Lantern Terrace" in said
        assert "in the book" not in said
        assert "7.99 kg" not in said


def test_the_books_figure_comes_with_the_answer(clerk: Client) -> None:
    lot = factories.RefinedLeaf()
    told = written(clerk, URL, counted(lot, counted_mg="7.98"))
    assert "counted 7.98 kg, the book had 7.99 kg; 10 g less than the book." in told
    assert Stock.objects.get(lot=lot).book_mg == 7_980_000


def test_both_are_the_same(clerk: Client) -> None:
    assert "both are the same." in written(clerk, URL, counted(factories.RefinedLeaf()))


def test_bags_of_left_over_are_weighed_with_it(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    factories.Load(lot=leaf, charge=factories.kg("0.940"))
    factories.Tub()
    left = factories.Closed(left_over=factories.kg("0.055"))
    written(clerk, URL, counted(leaf, counted_mg="7.11", with_lots=left.code))
    assert StockCount.objects.get().book_mg == 7_050_000 + 55_000


def test_two_kilograms_too_many_are_asked_about(clerk: Client) -> None:
    lot = factories.RefinedLeaf()
    fields = counted(lot, counted_mg="10.69")
    answer = clerk.post(URL, fields)
    assert "The shelf holds 2.6 kg too many" in page(answer)
    written(clerk, URL, {**fields, **asked(answer), "act_reason": "Weighed again, the same figure"})
    assert "2.6 kg too many" in StockCount.objects.get().step.questioned.replace("\u00a0", " ")


def test_an_empty_shelf_is_counted_as_nothing(clerk: Client) -> None:
    fields = counted(factories.RefinedLeaf(), counted_mg="0")
    answer = clerk.post(URL, fields)
    written(clerk, URL, {**fields, **asked(answer), "act_reason_own": "Given to the neighbour"})
    assert StockCount.objects.get().counted_mg == 0


def test_a_count_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, counted(factories.RefinedLeaf()))


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = counted(factories.RefinedLeaf())
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_a_lot_is_named(clerk: Client) -> None:
    assert "Nothing was scanned" in refused(clerk, URL, typed(counted_mg="1.00", scale="S2"))


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Counted()
    clerk.get(URL)
    with django_assert_max_num_queries(18):  # type: ignore[operator]
        clerk.get(URL)
