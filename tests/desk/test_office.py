"""The office: one door, the traceability plan on page and paper, the indicators of the year."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from lots.desk.doors import ROLES
from lots.read.names import printed
from tests import factories
from tests.desk.conftest import Hands, page, typed, written
from tests.office import settle_office

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]


@pytest.fixture
def auditor(hands: Hands) -> Client:
    cache.clear()
    return hands("auditor")


@pytest.mark.parametrize("role", ROLES)
def test_the_door_and_who_goes_through(hands: Hands, role: str) -> None:
    answer = hands(role).get("/office/")
    assert (answer.status_code == 200) is (role in {"quality", "recall_lead", "auditor", "administrator"})
    if answer.status_code == 200:
        assert ("/office/accounts/" in answer.content.decode()) is (role in {"auditor", "administrator"})


def test_every_way_of_the_door_leads_somewhere(auditor: Client) -> None:
    said = auditor.get("/office/").content.decode()
    urls = ["balance", "plot", "yields", "plan", "late", "keeping", "authorisations", "indicators", "accounts"]
    assert all(f'href="/office/{one}/"' in said for one in urls)
    assert {auditor.get(f"/office/{one}/").status_code for one in urls} == {200}


def test_the_plan_says_what_stands_in_the_book(auditor: Client, django_assert_max_num_queries: Any) -> None:
    assert "No lot rule is entered yet." in page(auditor.get("/office/plan/"))
    settle_office()
    with django_assert_max_num_queries(34):
        said = page(auditor.get("/office/plan/"))
    for words in (
        "Leaf of one plot and cultivar plucked on one day. The ledger gives every code.", "Lantern Terrace", "35.01, 135.76", "Saemidori",
        "5 years from the entry (our control body)", "Kei Mori line 12", "Mio Mori line 13", "Health centre of the valley, line 99", "Asia/Tokyo",
        "To be tried again by",
    ):
        assert words in said, words


@pytest.mark.parametrize(("language", "words"), [("en", "Traceability plan"), ("ja", "Lantern Terrace")])
def test_the_plan_on_paper(auditor: Client, language: str, words: str) -> None:
    settle_office()
    answer = auditor.get("/office/plan/file/", {"language": language})
    text = "".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.content)).pages)
    assert answer["Content-Type"] == "application/pdf"
    assert words in text
    assert "Kei Mori" in text


def test_a_new_version_of_the_lot_rule_stands_beside_the_old_one(hands: Hands, auditor: Client) -> None:
    settle_office()
    fields = typed(text="Leaf of one plot plucked on one day.", codes_from="The ledger.", retired="no")
    written(hands("administrator"), "/registers/lot_rule/enter/ALL/", fields)
    said = page(auditor.get("/office/plan/"))
    assert "Leaf of one plot plucked on one day. The ledger." in said
    assert said.count("Lot rule ALL") == 2


def test_indicators_of_an_empty_and_of_a_full_book(auditor: Client, django_assert_max_num_queries: Any) -> None:
    said = page(auditor.get("/office/indicators/"))
    assert "Nothing was packed yet" in said
    assert "No recall team is entered yet." in said
    settle_office()
    told = factories.chain()
    with django_assert_max_num_queries(70):
        said = page(auditor.get("/office/indicators/"))
    assert f"{told.packed[-1]} traced both ways just now." in said
    assert "Of the dry leaf that went through" in said
    assert "acts were written on a later day than they happened." in said
    assert "Nothing is over its time." in said


def test_what_is_overdue_is_counted(auditor: Client) -> None:
    day = timezone.localdate()
    factories.Held(lot=factories.FreshLeaf(), happened_at=factories.next_moment())
    factories.enter("recall_team", "LEAD", task="Leads", person="Kei Mori")
    factories.enter("authorisation", "A-1", staff="A", stages="ALL", trained_on=day - dt.timedelta(days=900), trained_by="C",
                    valid_until_on=day - dt.timedelta(days=1))
    said = page(auditor.get("/office/indicators/"))
    assert "one authorisation has run out" in said.lower()
    assert "never tried" in said
    assert "one hold stands longer than 30 days" in said.lower()


def test_a_plot_is_picked_and_every_pack_stands_there_with_sprays_and_consignees(auditor: Client, django_assert_max_num_queries: Any) -> None:
    factories.Treated(plot="P1", product="Mite stop", interval_days=14, applied_on=factories.today() - dt.timedelta(days=40))
    told = factories.chain()
    assert "P1 Lantern Terrace" in page(auditor.get("/office/plot/"))
    with django_assert_max_num_queries(60):
        said = page(auditor.get("/office/plot/", {"plot": "P1"}))
    lawful = factories.today() - dt.timedelta(days=26)
    for words in (str(told.fresh), "Mite stop", str(lawful)[:7], printed(told.packed[0].code), "Tea House East", "D-1"):
        assert words in said, words
    other = page(auditor.get("/office/plot/", {"plot": "P2"}))
    assert "no deliveries of leaf came from heron bend" in other.lower()
    assert "Tea House East" not in other
