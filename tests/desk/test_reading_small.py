"""The reading pages on books that are small, empty, odd or spiteful: nothing falls over, nothing is run, nothing is guessed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.models import Flow, JournalEntry, Lot, Step
from lots.record import correcting
from lots.record.acts import Act
from lots.record.lines import Moisture, Weight
from tests import factories
from tests.desk.conftest import Hands, page

pytestmark = pytest.mark.django_db
PAGES = (
    "/", "/lots/", "/lots.csv", "/lot-book/", "/balance/", "/balance/?by=lot", "/balance/?by=stage", "/balance/?by=week", "/balance/?by=machine",
    "/balance/?by=all", "/balance.csv", "/season/", "/trace/", "/papers/", "/entry/0/",
)
SPITE = '<script>alert("x")</script>&amp;'


def every_page() -> list[str]:
    """Every page of every lot, balance and entry of the book."""
    lots = Lot.objects.values_list("code", flat=True)
    judged = Step.objects.filter(stage__in=("drying", "refining", "counting", "milling", "sieving", "packing")).values_list("pk", flat=True)
    return [
        *PAGES, *(f"/lot/{code}/" for code in lots), *(f"/trace/?code={code}" for code in lots), *(f"/balance/{pk}/" for pk in judged),
        *(f"/entry/{seq}/" for seq in JournalEntry.objects.values_list("seq", flat=True)),
    ]


def answers(client: Client, urls: list[str] | tuple[str, ...], language: str = "en") -> dict[str, int]:
    return {url: client.get(url, headers={"accept-language": language}).status_code for url in urls}


@pytest.mark.parametrize("language", ["en", "ja"])
def test_an_empty_book(clerk: Client, language: str) -> None:
    assert set(answers(clerk, PAGES, language).values()) == {200}
    assert "The book has no leaf yet." in page(clerk.get("/"))
    assert "Nothing has been weighed yet." in page(clerk.get("/season/"))
    assert "Nothing has been weighed yet that could be judged." in page(clerk.get("/balance/"))


@pytest.mark.parametrize("role", ["clerk", "packing", "quality", "recall_lead", "auditor", "administrator"])
def test_every_role_reads(hands: Hands, role: str) -> None:
    factories.CrudeLeaf()
    assert set(answers(hands(role), every_page()).values()) <= {200, 404}


def test_nobody_reads_without_signing_in(mill: None) -> None:
    factories.FreshLeaf()
    found = answers(Client(), every_page())
    assert set(found.values()) == {302}


@pytest.mark.parametrize("language", ["en", "ja"])
def test_every_page_of_a_whole_chain(clerk: Client, language: str) -> None:
    story = factories.chain()
    factories.Held(lot=story.refined)
    factories.Load(lot=story.refined, job="J2")
    factories.Tub()
    factories.Counted(lot=factories.CrudeLeaf())
    factories.TakenBack(step=factories.FreshLeaf().step_id)
    found = answers(clerk, every_page(), language)
    odd = {url: status for url, status in found.items() if status not in {200, 302}}
    open_run = {f"/balance/{pk}/" for pk in Step.objects.filter(stage="milling").order_by("-pk").values_list("pk", flat=True)[:2]}
    assert set(odd) == open_run


def test_a_name_full_of_markup_stays_a_name(clerk: Client) -> None:
    lot = factories.FreshLeaf(maker_ref=SPITE[:38])
    crude = factories.CrudeLeaf(lot=lot, maker_ref=SPITE[:38])
    urls = ["/", "/lots/", f"/lot/{lot.code}/", f"/lot/{crude.code}/", f"/trace/?code={crude.code}", f"/balance/{crude.step_id}/",
            "/balance/?by=all", f"/entry/{crude.step.entry_id}/", f"/lot-book/?code={SPITE}", f"/trace/?code={SPITE}", f"/papers/?code={SPITE}",
            f"/lots/?q={SPITE}", f"/balance/?by=all&q={SPITE}"]
    for url in urls:
        assert "<script>alert" not in clerk.get(url).content.decode(), url


def test_a_hopper_that_is_dry_waits_for_a_hand(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    factories.Load(lot=leaf)
    factories.Tub()
    factories.Load(lot=leaf)
    said = page(clerk.get("/"))
    assert "Pair 1. The hopper is dry; the stones stand on the bed." in said
    assert "One stone pair is milling" in said
    assert "1.76 kg charged, 0.89 kg in tubs, the rest in the mill." in said


def test_a_correction_is_struck_and_bold(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    line = Flow.objects.get(step=leaf.step, lot=leaf)
    correcting.adjust(Act("C", reason="the ticket says so"), step=leaf.step_id, masses_mg={line.pk: leaf.mass_mg + 50_000})
    html = clerk.get(f"/lot/{leaf.code}/").content.decode()
    assert f"<del>{leaf.mass_mg / 1e6:.2f}</del>" in html
    assert f"<ins>{(leaf.mass_mg + 50_000) / 1e6:.2f}</ins>" in html
    assert "Adds up since the correction of" in html
    assert "Reason: the ticket says so." in page(clerk.get(f"/lot/{leaf.code}/"))


def test_what_cannot_be_judged_says_what_is_missing(clerk: Client) -> None:
    leaf = factories.RefinedLeaf(refined_moisture=None)
    said = page(clerk.get(f"/balance/{leaf.step_id}/"))
    assert "Cannot be judged" in said
    assert "was not measured" in said
    assert "not known" in said
    assert "One cannot be judged." in page(clerk.get("/balance/"))
    assert "水分が未測定" in page(clerk.get(f"/balance/{leaf.step_id}/", headers={"accept-language": "ja"}))


def test_a_balance_beyond_the_usual_alone(clerk: Client) -> None:
    leaf = factories.RefinedLeaf(refined=factories.kg("8.50", "S2"), reason="so it was weighed")
    said = page(clerk.get(f"/balance/{leaf.step_id}/"))
    assert "Look at the paper ticket." in said
    assert "Stop: " in said
    assert "Sorting gave" in page(clerk.get("/"))


def test_leaf_of_two_plots(clerk: Client) -> None:
    leaves = [factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot=p))) for p in ("P1", "P2")]
    tubs = [t for i, leaf in enumerate(leaves) for t in factories.mill(leaf, pair=f"SP{i + 1}", job=f"J{i}").tubs]
    sieved = factories.Sieved(lots=tubs, moisture=Moisture(Decimal("0.044")))
    said = page(clerk.get(f"/lot/{sieved.code}/"))
    assert "Sieved powder from 2 pluckings: P1 Lantern Terrace and P2 Heron Bend." in said
    assert said.count("50.0 %") >= 2
    assert "contains two plots" in page(clerk.get(f"/trace/?code={sieved.code}"))


def test_a_count_that_finds_too_much(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    step = factories.Counted(lot=leaf, counted=Weight(leaf.mass_mg + 3_000_000, "S2"), reason="so it was weighed")
    said = page(clerk.get(f"/balance/{step.pk}/"))
    assert "Stop: 3" in said or "Stop: 2.9" in said
    assert "too much" in said
    assert "+3.00" in page(clerk.get(f"/lot/{leaf.code}/"))


@pytest.mark.parametrize("url", ["/", "/lots/", "/balance/", "/balance/?by=all", "/season/", "/papers/"])
def test_as_many_questions_when_the_book_is_fuller(clerk: Client, url: str) -> None:
    factories.chain()
    factories.Held(lot=factories.FreshLeaf())
    clerk.get(url)
    with CaptureQueriesContext(connection) as few:
        clerk.get(url)
    factories.chain(plot="P2", job="J2")
    factories.Cleaned()
    factories.chain(plot="P3", job="J3")
    factories.Held(lot=factories.FreshLeaf(plot="P2"))
    with CaptureQueriesContext(connection) as many:
        clerk.get(url)
    assert len(many) <= len(few) + 2
