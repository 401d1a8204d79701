"""Where from, where to: what the page says of the demo book, of tubs, of packs, and of what nobody knows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.conf import settings
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.codes.packs import pack_code, print_form
from lots.desk import trace_sheet
from lots.exchange.demo import load_demo
from lots.models import Lot, PackedUnit, PackSecret
from lots.record import holding
from lots.record.acts import Act
from tests.desk.conftest import page
from tests.factories import hand

#: A trace with its balances and what stands on every page.
MOST = 80


@pytest.fixture(scope="module")
def demo_book(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """The demo book, loaded once for this module and taken back after it."""
    fixtures = Path(settings.BASE_DIR) / "fixtures"
    with django_db_blocker.unblock(), transaction.atomic():
        assert load_demo(fixtures / "demo_season.json", fixtures / "demo_desk.json")
        yield
        transaction.set_rollback(True)


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(hand(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def clerk(demo_book: None, db: None) -> Client:
    return signed_in("clerk")


def said_under(answer: HttpResponse, heading: str) -> list[str]:
    """The ruled entries under a heading."""
    part = answer.content.decode().split(f">{heading}</h2>")[1].split("</ol>")[0]
    found = re.findall(r'(?s)<li class="entry">(.*?)</li>', part)
    plain = [" ".join(re.sub(r"<(?:/)?(?:div|p|a|small|b)[^>]*>", " ", each).replace("\u00a0", " ").split()) for each in found]
    return [re.sub(r"<[^>]+>", "", each) for each in plain]


def in_words(answer: HttpResponse, tier: str) -> list[str]:
    """The entries of one tier."""
    return [each.removeprefix(tier).strip() for each in said_under(answer, "The same in words") if each.startswith(tier)]


def drawing_of(answer: HttpResponse) -> str:
    return answer.content.decode().split("<figure")[1].split("</figure>")[0]


def test_a_packing_run_in_sentences_that_can_be_read_aloud(clerk: Client) -> None:
    said = page(clerk.get("/trace/", {"code": "K26-06"}))
    assert "K26-06 contains one plot and may have touched one more." in said
    assert "956 tins and 109 bags; three consignees hold 900 tins and 100 bags." in said
    assert re.search(r"Found in \d+\.\d\d s\.", said)


def test_a_packing_run_back_to_its_field_and_to_what_touched_it(clerk: Client) -> None:
    answer = clerk.get("/trace/", {"code": "K26-06"})
    contains = in_words(answer, "Contains")
    assert len(contains) == 1
    assert contains[0].startswith("P5 Long Mist, Okuyutaka, organic: ")
    assert "H26-LM1, plucked 2026-05-15 (Fri) by the Kawasemi household." in contains[0]
    assert "Through C26-LM1, R26-LM1, J26-06 and S26-06." in contains[0]
    touched = in_words(answer, "May have touched")
    assert [each.split(",")[0] for each in touched] == ["P2 Heron Bend"]
    assert "0.31 kg, at most 0.36 kg, 0.9 %. J26-06 came after J26-05 on pair 5" in touched[0]
    assert [each.split(",")[0] for each in in_words(answer, "Excluded")] == ["P1 Lantern Terrace", "P4 Old Ferry"]
    assert "J26-04 ran on the same machines; opened and cleaned: Pair 5, 2026-07-02 (Thu)." in in_words(answer, "Excluded")[1]


def test_three_consignees_and_what_is_here(clerk: Client) -> None:
    gone = said_under(clerk.get("/trace/?code=K26-06"), "Gone to")
    names = [name for each in gone for name in ("Tea Room North", "Cafe Delta", "Example Importer East", "Still here") if name in each]
    assert names == ["Tea Room North", "Cafe Delta", "Example Importer East", "Still here"]
    assert "240 tins and 40 bags" in gone[1]
    for part in ("48 tins and 9 bags; 8 tins kept as samples", "0.29 kg of bulk powder left in P26-"):
        assert part in gone[3]


def test_a_tub_of_pair_five_stands_in_three_tiers(clerk: Client) -> None:
    answer = clerk.get("/trace/", {"code": "T26-06-5-1"})
    tiers = {tier: in_words(answer, tier) for tier in ("Contains", "May have touched", "Excluded")}
    assert [(tier, each[:16]) for tier, found in tiers.items() for each in found] == [
        ("Contains", "P5 Long Mist, Ok"), ("May have touched", "P2 Heron Bend, S"), ("Excluded", "P4 Old Ferry, Me")]
    assert "J26-05" in tiers["May have touched"][0]
    assert "J26-04" in tiers["Excluded"][0]
    assert all(name in drawing_of(answer) for name in ("J26-04", "J26-05", "J26-06"))


def test_where_leaf_may_have_gone_is_said_too(clerk: Client) -> None:
    said = page(clerk.get("/trace/", {"code": "R26-HB1"}))
    assert "R26-HB1 contains one plot." in said
    assert "By contact alone it may be in 956 tins and 109 bags of K26-06" in said


def test_the_drawing_names_what_the_words_name_and_leads_on(clerk: Client) -> None:
    drawing = drawing_of(clerk.get("/trace/?code=K26-06"))
    for name in ("P5", "H26-LM1", "R26-LM1", "J26-06", "S26-06", "K26-06", "J26-05", "Tea Room North", "at most 0.36"):
        assert name in drawing
    for lot in Lot.objects.filter(maker_ref__in=("H26-LM1", "R26-LM1")):
        assert f'href="/lot/{lot.code}/"' in drawing


def test_a_pack_leads_to_the_lot_of_its_series(clerk: Client) -> None:
    unit = PackedUnit.objects.filter(lot__maker_ref="K26-06", retained=False).order_by("pk")[0]
    secret = bytes(PackSecret.objects.get(run_no=unit.run_no).secret)
    code = pack_code(unit.run_no, unit.first_no + 2, secret)
    for text in (code, print_form(code), f"https://example.com/p/{code}"):
        said = page(clerk.get("/trace/", {"code": text}))
        assert f"Pack {unit.first_no + 2} of run {unit.run_no}: it is of lot K26-06." in said
        assert "K26-06 contains one plot" in said


def test_what_nobody_knows_stays_in_the_line(clerk: Client) -> None:
    answer = clerk.get("/trace/", {"code": "R26-<b>99"})
    assert answer.status_code == 404
    html = answer.content.decode()
    assert 'value="R26-&lt;b&gt;99"' in html
    assert 'aria-invalid="true"' in html
    assert "No lot and no pack is called R26-<b>99." in page(answer).replace("&lt;", "<").replace("&gt;", ">")
    assert "<figure" not in html


def test_the_page_begins_with_the_line_to_scan_into(clerk: Client) -> None:
    html = clerk.get("/trace/").content.decode()
    assert 'name="code" value=""' in html
    assert " autofocus" in html
    assert "<figure" not in html


def test_a_crowded_drawing_is_put_together_and_each_group_opens(clerk: Client) -> None:
    with patch.object(trace_sheet, "BOXES_MAX", 12):
        whole = drawing_of(clerk.get("/trace/?code=K26-06"))
        opens = re.findall(r'href="(/trace/\?code=K26-06&amp;open=([a-z]+-\d))"', whole)
        assert opens
        assert " together" in whole
        for address, spot in opens:
            assert f"open={spot}" not in drawing_of(clerk.get(address.replace("&amp;", "&")))
    assert " together" not in drawing_of(clerk.get("/trace/?code=K26-06"))


def test_an_address_that_opens_nothing_draws_as_before(clerk: Client) -> None:
    plain = drawing_of(clerk.get("/trace/?code=K26-06"))
    for odd in ("contains-99", "contains-²", "elsewhere-2", "-"):
        assert drawing_of(clerk.get("/trace/", {"code": "K26-06", "open": odd})) == plain


def test_each_role_is_offered_what_it_may_do(demo_book: None, db: None) -> None:
    lot = Lot.objects.filter(maker_ref="K26-06").order_by("pk")[0]
    hold, recall, dossier = f"/hold/stop/?lot={lot.code}", f"/papers/recall/?lot={lot.code}", f"/papers/dossier/?lot={lot.code}"
    offered = {role: signed_in(role).get("/trace/?code=K26-06").content.decode() for role in ("clerk", "recall_lead", "auditor")}
    assert {role: (hold in html, recall in html, dossier in html) for role, html in offered.items()} == {
        "clerk": (True, False, True), "recall_lead": (True, True, True), "auditor": (False, True, True),
    }


def test_a_trace_asks_the_book_a_bounded_number_of_times(clerk: Client) -> None:
    clerk.get("/trace/")
    for name in ("K26-06", "H26-HB1", "S26-06"):
        with CaptureQueriesContext(connection) as seen:
            assert clerk.get("/trace/", {"code": name}).status_code == 200
        assert len(seen) <= MOST, name


def test_the_japanese_page_draws_in_japanese(clerk: Client) -> None:
    html = clerk.get("/trace/?code=K26-06", headers={"accept-language": "ja"}).content.decode()
    drawing = html.split("<figure")[1].split("</figure>")[0]
    assert "触れた可能性" in drawing
    assert "May have touched" not in drawing



def test_a_trace_says_first_what_stops_the_thing_that_was_scanned(demo_book: None, db: None) -> None:
    lead = signed_in("quality")
    assert "What stops it" not in lead.get("/trace/?code=K26-06").content.decode()
    holding.hold(Act("C"), lot="R26-LM1", reason="A smell of smoke")
    answer = lead.get("/trace/?code=K26-06")
    assert "stopped  R26-LM1. A smell of smoke." in said_under(answer, "What stops it")[0]
    assert "Fetch K26-06 back" in answer.content.decode()
    assert "Hold all of K26-06" not in answer.content.decode()
    holding.fetch_back(Act("C"), lot="R26-LM1", reason="Smoke in the leaf", what_to_do="Take it back to the shop.")
    answer = lead.get("/trace/?code=K26-06")
    assert "fetched back  R26-LM1. Smoke in the leaf." in said_under(answer, "What stops it")[1]
    assert "Fetch K26-06 back" not in answer.content.decode()
