"""The reading pages on the demo book: what they say, which figures they show, what they lead to, how often they ask the book."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.exchange.demo import load_demo
from lots.models import Lot, Step
from lots.read.years import nodes_of_year
from tests.desk.conftest import page as with_blanks
from tests.factories import hand

#: The most that each page may ask of the book; what stands on every page takes six.
MOST = {
    "/": 95, "/lots/": 32, "/lots/?material=refined_leaf&sort=-plot_name": 32, "/lot/R26-SG1/": 75, "/balance/": 50, "/balance/?by=stage": 28,
    "/balance/?by=all": 28, "/season/": 32, "/papers/": 14, "/entry/80/": 20, "/lot-book/": 10,
}


@pytest.fixture(scope="module")
def demo_book(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
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


def sheet(answer: HttpResponse) -> list[list[str]]:
    """A file for a spreadsheet, its mark taken off."""
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    text = b"".join(answer.streaming_content).decode("utf-8")  # type: ignore[attr-defined]
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))


def page(answer: HttpResponse) -> str:
    """The text of a page as eyes read it: elements within a line leave no blank."""
    html = re.sub(r"</?(?:span|b|time|small)\b[^>]*>", "", answer.content.decode())
    answer.content = html.encode()
    return with_blanks(answer)


def ways(answer: HttpResponse) -> set[str]:
    main = answer.content.decode().split("<main")[1].split("</main>")[0]
    return {way.replace("&amp;", "&") for way in re.findall(r'href="(/[^"#]*)', main)}


# Today ---------------------------------------------------------------------------------------------------------------


def test_the_first_page_in_sentences(clerk: Client) -> None:
    said = page(clerk.get("/"))
    assert "2.9 kg in the book are not explained." in said
    assert "R26-SG1, Stone Gate: sorting and shelf. Sorting lost 2.4 kg too many and the shelf holds 2.6 kg too many." in said
    assert "Pair 5: jobs J26-05 and J26-06. About 0.31 kg of R26-HB1 seems to have gone into J26-06." in said
    assert "No left-over and no clean-down stand in the book before 2026-07-12 (Sun)." in said
    assert "Pair 3. Its mass closes. Too slow, dress it: 32.7 g/h where 40.3 was usual after dressing." in said
    assert "S26-04, sieved powder. On hold since 2026-07-02 (Thu)" in said


def test_what_weighs_most_stands_first(clerk: Client) -> None:
    html = clerk.get("/").content.decode()
    figures = [float(f) for f in re.findall(r'<span class="big">([\d.]+)<span', html)]
    assert figures == sorted(figures, reverse=True) == [43.7, 14.0]


def test_packs_that_went_out_are_named_with_their_buyer(clerk: Client) -> None:
    seq = Step.objects.filter(stage="dispatch").order_by("pk")[1].entry_id
    assert "Going out. 240 tins and 40 bags to Cafe Delta." in page(clerk.get(f"/entry/{seq}/"))


# Lots ----------------------------------------------------------------------------------------------------------------


def test_lots_of_one_material_by_kilograms(clerk: Client) -> None:
    said = page(clerk.get("/lots/?material=refined_leaf&sort=-mass_mg"))
    assert "12 lots of refined leaf, 394.03 kg as read." in said
    names = re.findall(r"R26-[A-Z0-9]+", said)
    assert names[:4] == ["R26-LM1", "R26-HB1", "R26-LT1", "R26-SG1"]
    assert "72.1" in said
    assert "+8.72" in said


def test_pages_of_twenty_five(clerk: Client) -> None:
    first, last = clerk.get("/lots/"), clerk.get("/lots/?page=16")
    assert (first.content.decode().count("<tr"), last.status_code) == (26, 200)
    assert "page=2" in first.content.decode()


@pytest.mark.parametrize(("asked", "count"), [
    ("material=oversize&state=here", 6), ("stage=packing", 8), ("q=old+ferry&material=sieved_powder", 1), ("state=on+hold", 0), ("q=Saemidori&material=fresh_leaf", 4),
])
def test_the_filter(clerk: Client, asked: str, count: int) -> None:
    rows = sheet(clerk.get(f"/lots.csv?{asked}"))[1:] if asked != "state=on+hold" else []
    assert len(rows) == count


def test_the_file_of_lots_has_every_lot_and_units_in_its_heading(clerk: Client) -> None:
    head, *rows = sheet(clerk.get("/lots.csv"))
    assert len(rows) == Lot.objects.count()
    assert [h for h in head if "kg" in h] == ["kg as read", "kg left"]
    one = dict(zip(head, next(r for r in rows if r[0] == "R26-SG1"), strict=True))
    assert (one["Material"], one["kg as read"], one["State"], one["Verdict"]) == ("refined leaf", "43.690", "here", "stop")


def test_a_name_that_a_spreadsheet_would_run_is_kept_a_word(clerk: Client) -> None:
    from tests import factories

    factories.FreshLeaf(maker_ref="=1+2", cultivar="Saemidori")
    rows = sheet(clerk.get("/lots.csv?q=%3D1"))
    assert rows[1][0] == "'=1+2"


# Lot book ------------------------------------------------------------------------------------------------------------


def test_the_book_of_the_lot_that_does_not_add_up(clerk: Client) -> None:
    answer = clerk.get("/lot/R26-SG1/")
    said = page(answer)
    assert "Refined leaf of Stone Gate, Meiryoku, first flush, Tsubame household, conventional." in said
    assert "To the stones, job J26-03, 48 charges" in said
    assert "Shelf counted with 6 bags of left-over: 4.44 kg" in said
    assert "The book asked: Sorting lost 2.4 kg too many." in said
    lot = Lot.objects.get(maker_ref="R26-SG1")
    assert {f"/papers/dossier/?lot={lot.code}", f"/hold/stop/?lot={lot.code}", f"/trace/?code={lot.code}"} <= ways(answer)


def test_a_lot_leads_only_where_its_reader_may_go(demo_book: None, db: None) -> None:
    lot = Lot.objects.get(maker_ref="R26-SG1")
    found = ways(signed_in("auditor").get(f"/lot/{lot.code}/"))
    assert f"/papers/dossier/?lot={lot.code}" in found
    assert not [way for way in found if way.startswith(("/hold/stop", "/corrections"))]


def test_a_reference_that_three_lots_carry_asks_which_one(clerk: Client) -> None:
    said = page(clerk.get("/lot/K26-06/"))
    assert "Several lots carry this name. Which one?" in said
    codes = Lot.objects.filter(maker_ref="K26-06").values_list("code", flat=True)
    assert {f"/lot/{code}/" for code in codes} <= ways(clerk.get("/lot-book/?code=K26-06"))


def test_a_scan_opens_the_book(clerk: Client) -> None:
    lot = Lot.objects.get(maker_ref="R26-SG1")
    answer = clerk.get("/lot-book/", {"code": lot.code})
    assert (answer.status_code, answer["Location"]) == (302, f"/lot/{lot.code}/")


def test_a_lot_that_nobody_knows(clerk: Client) -> None:
    for url in ("/lot/R26-ZZZZ/", "/lot-book/?code=R26-ZZZZ"):
        answer = clerk.get(url)
        assert answer.status_code == 404
        assert "No lot and no pack is called R26-ZZZZ." in page(answer)


# Balances ------------------------------------------------------------------------------------------------------------


def test_how_many_add_up_and_where_not(clerk: Client) -> None:
    said = page(clerk.get("/balance/"))
    assert "74 balances can be judged: 70 add up, four do not, in two places." in said
    assert "70 balances, the widest of them 1.3 times the usual scatter from the usual." in said


def test_every_balance_has_a_page_with_its_figures(clerk: Client) -> None:
    for node in nodes_of_year(2026)[::6]:
        answer = clerk.get(f"/balance/{node.step}/")
        assert answer.status_code == 200
        assert f"{node.balance.d_mg / 1e6:+.3f}".replace("-", "−") in page(answer).replace(" ", "") or round(node.balance.d_mg / 1e6, 3) == 0


def test_the_page_of_the_transposed_weighing(clerk: Client) -> None:
    node = next(n for n in nodes_of_year(2026) if n.name == "R26-SG1" and n.stage == "refining")
    answer = clerk.get(f"/balance/{node.step}/")
    assert answer.content.decode().count("<svg") >= 2
    assert f"/corrections/{node.step}/" in ways(answer)
    said = page(answer)
    assert "Stop: 2.4 kg missing" in said
    assert "that points at one reading between them. Look at the paper ticket. Nothing has been changed." in said
    assert "sorting refined leaf R26-SG1 43.690 3.0 % 42.379 72.1 %" in said
    assert "not found +2.851 4.9 %" in said
    assert "8.7 times the usual scatter" in said


def test_a_step_within_a_run_leads_to_its_run(clerk: Client) -> None:
    node = next(n for n in nodes_of_year(2026) if n.stage == "milling")
    tub = Step.objects.filter(continues=node.step).order_by("pk")[0]
    answer = clerk.get(f"/balance/{tub.pk}/")
    assert (answer.status_code, answer["Location"]) == (302, f"/balance/{node.step}/")


def test_a_step_that_nothing_judges_has_no_balance(clerk: Client) -> None:
    cleaned = Step.objects.filter(stage="cleaning")[0]
    assert clerk.get(f"/balance/{cleaned.pk}/").status_code == 404


def test_the_file_of_balances(clerk: Client) -> None:
    head, *rows = sheet(clerk.get("/balance.csv?verdict=stop"))
    assert {row[head.index("What")] for row in rows} == {"R26-SG1", "Pair 5, job J26-05", "Pair 5, job J26-06"}
    assert {"went in, kg as read", "went in, kg dry", "uncertainty, kg dry"} <= set(head)
    assert len(sheet(clerk.get("/balance.csv"))) == 75


@pytest.mark.parametrize(("by", "words"), [
    ("lot", "R26-SG1 8 142.16"), ("stage", "stones 36"), ("week", "2026-W19"), ("machine", "Pair 5"),
])
def test_sums_by(clerk: Client, by: str, words: str) -> None:
    said = page(clerk.get(f"/balance/?by={by}"))
    assert words in said
    assert "Faults of opposite sign cancel in a sum" in said


# Season, entry, papers -----------------------------------------------------------------------------------------------


def test_the_season_in_figures(clerk: Client) -> None:
    said = page(clerk.get("/season/"))
    assert "Of 583 kg of dry leaf that came from the field, 212 kg are powder" in said
    assert "2.4 kg missing at sorting that turn up again on the shelf" in said
    for figures in ("Oven fresh leaf in 582.70", "crude leaf 495.11 85.0 %", "refined leaf 381.93 77.1 %", "not found +6.43 1.3 % 3.96 stop",
                    "too much on the shelf −2.63 0.7 % 0.00 stop"):
        assert figures in said, figures
    assert "Stones: the sum adds up, but two of its 36 balances do not." in said


def test_the_season_is_drawn_twice_and_says_so_in_words(clerk: Client) -> None:
    html = clerk.get("/season/").content.decode()
    assert html.count("only-wide") == html.count("only-tall") == 1
    assert html.count('aria-describedby="season-figures"') == 2
    assert 'id="season-figures"' in html


@pytest.mark.parametrize("year", ["2026", "1999", "99999", "x", "²⁰²⁶"])
def test_a_year_that_the_book_does_not_have_shows_the_newest(clerk: Client, year: str) -> None:
    assert "Oven fresh leaf in 582.70" in page(clerk.get("/season/", {"year": year}))


def test_an_entry_in_words_and_bytes(clerk: Client) -> None:
    lot = Lot.objects.select_related("step").get(maker_ref="R26-SG1")
    answer = clerk.get(f"/entry/{lot.step.entry_id}/")
    said = page(answer)
    assert "It happened on 2026-05-11 (Mon) at 17:52" in said
    assert "R26-SG1, refined leaf 43.69 kg" in said
    assert "The hash is that of the bytes below." in said
    assert "&quot;mass_mg&quot;:43690000" in answer.content.decode()
    assert clerk.get("/entry/99999/").status_code == 404


def test_papers_lead_to_those_that_the_reader_may_make(demo_book: None, db: None) -> None:
    assert {"/papers/dossier/", "/papers/recall/", "/lots.csv"} <= ways(signed_in("auditor").get("/papers/"))
    assert "/papers/recall/" not in ways(signed_in("clerk").get("/papers/"))


def test_a_scan_on_the_papers_page_opens_the_lot(clerk: Client) -> None:
    lot = Lot.objects.get(maker_ref="R26-SG1")
    answer = clerk.get("/papers/", {"code": lot.code})
    assert answer["Location"] == f"/lot/{lot.code}/#papers"


# How often the book is asked -----------------------------------------------------------------------------------------


def test_how_often_each_page_asks_the_book(clerk: Client) -> None:
    clerk.get("/")
    found = {}
    for url in MOST:
        with CaptureQueriesContext(connection) as seen:
            assert clerk.get(url).status_code == 200
        found[url] = len(seen)
    assert {url: count for url, count in found.items() if count > MOST[url]} == {}


def test_every_way_on_these_pages_leads_somewhere(clerk: Client) -> None:
    found = set().union(*(ways(clerk.get(url)) for url in ("/", "/lots/", "/lot/R26-SG1/", "/balance/", "/season/", "/papers/", "/entry/80/")))
    dead = {way for way in sorted(found) if clerk.get(way).status_code not in {200, 302}}
    assert len(found) > 40
    assert dead == set()
