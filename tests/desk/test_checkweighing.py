"""Check-weighing at the desk: one number and Enter, over and over."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import CheckWeighing, Hold, PackedUnit
from tests import factories
from tests.desk.conftest import Hands, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/tins-and-bags/check-weighing/"
FULL = "\r\n".join(["30", "31"] * 6)


def check(lot: str, rows: str = FULL, **other: str) -> dict[str, str]:
    return typed(**{"lot": lot, "readings_mg": rows, "plan": "by count", "scale": "S3", **other})


def test_twelve_tins_are_accepted(hands: Hands) -> None:
    tins = factories.Packed()
    told = written(hands("packing"), URL, check(tins.code))
    assert CheckWeighing.objects.get().accepted is True
    assert "Tins of 30 g: accepted. 12 weighed, mean 30.50 g, +0.50 g against the label each" in told
    assert "Over 20 packs that is +10 g." in told


def test_short_tins_are_stopped_and_the_page_says_so(hands: Hands) -> None:
    told = written(hands("packing"), URL, check(factories.Packed().code, "\r\n".join(["29"] * 12)))
    assert "not accepted" in told
    assert Hold.objects.count() == 1
    assert "The series is stopped until the quality lead releases it." in told


def test_while_weighing_mean_shortfall_and_what_is_still_to_weigh(clerk: Client) -> None:
    tins, before = factories.Packed(), entries()
    said = page(clerk.post(f"{URL}live/", check(tins.code, "30\n31\n27")))
    assert "3 weighed, mean 29.33 g, −0.67 g against the label each" in said
    assert "short by more than 2.7 g: 1 of 0 allowed" in said
    assert entries() == before
    assert "9 more to weigh before the plan can judge." in page(clerk.post(f"{URL}live/", check(tins.code, "30\n31\n30")))
    assert "may err by more than a check of packs of 30 g bears" in page(clerk.post(f"{URL}live/", check(tins.code, "30", scale="S2")))


def test_a_gross_weight_less_its_tare(clerk: Client) -> None:
    tins = factories.Packed()
    written(clerk, URL, check(tins.code, "\n".join(["78"] * 12), tare_mg="47.5"))
    assert (CheckWeighing.objects.get().mean_mg, CheckWeighing.objects.get().tare_mg) == (30_500, 47_500)


def test_a_row_that_cannot_be_read_is_named(clerk: Client) -> None:
    said = refused(clerk, URL, check(factories.Packed().code, "30\n31\nthirty"))
    assert "Row 3:" in said
    assert "30 31 thirty" in said


def test_a_lot_that_is_no_packs(clerk: Client) -> None:
    assert "is not a lot of packs" in refused(clerk, URL, check(factories.Sieved().code))


def test_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, check(factories.Packed().code))


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = check(factories.Packed().code)
    broken_off(clerk, URL, fields, monkeypatch)
    assert "accepted" in written(clerk, URL, fields)


def test_the_page_of_a_run_tells_what_was_given_away(hands: Hands, django_assert_max_num_queries: object) -> None:
    factories.Packed()
    unit = PackedUnit.objects.order_by("pk")[0]
    auditor = hands("auditor")
    said = page(auditor.get(f"/tins-and-bags/run/{unit.step_id}/"))
    assert "No pack of this run was check-weighed." in said
    assert "hold +5 g against their labels, +0.20 g a pack" in said
    assert "183 days from packing, printed as a day" in said
    assert "Check-weigh " not in said
    written(hands("packing"), URL, check(unit.lot.code))
    with django_assert_max_num_queries(40):  # type: ignore[operator]
        assert "accepted" in page(auditor.get(f"/tins-and-bags/run/{unit.step_id}/"))
    assert auditor.get("/tins-and-bags/run/1/").status_code == 404


def test_the_empty_page_and_its_last_checks(clerk: Client) -> None:
    written(clerk, URL, check(factories.Packed().code))
    said = page(clerk.get(URL))
    assert "Just weighed" in said
    assert "The rules of the authority of legal metrology go before this plan." in said


def test_the_book_of_a_lot_of_packs_leads_to_its_run(clerk: Client) -> None:
    tins = factories.Packed()
    html = clerk.get(f"/lot/{tins.code}/").content.decode()
    assert f"/tins-and-bags/run/{tins.step_id}/" in html
    assert "/tins-and-bags/run/" not in clerk.get(f"/lot/{factories.RefinedLeaf().code}/").content.decode()
