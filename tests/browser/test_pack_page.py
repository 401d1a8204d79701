"""A person with a pack and a phone: the page of its code, from the scan to the recall."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Page, Response, expect

from tests.browser.hands import Hands, come_in
from tests.browser.screens import pack_of
from tests.browser.sights import DESKTOP, PHONE, PHONE_DARK, Watch
from tests.factories import Chain, Packed, Sieved, TakenBack, chain, found_small_mill

PAGE_BYTES_MOST = 60_000


@pytest.fixture
def story(live_server: Any) -> Chain:
    cache.clear()  # the throttle counts openings of other tests too
    found_small_mill()
    return chain()


@pytest.fixture
def tin(story: Chain) -> str:
    return reverse("public:pack", args=[pack_of(story.packed[0])])


@pytest.fixture
def phone(open_page: Any) -> Page:
    page: Page = open_page(PHONE)
    return page


def opened(page: Page, url: str) -> Response:
    answer = page.goto(url)
    assert answer is not None
    return answer


def weight(page: Page, url: str) -> int:
    """Bytes of the page with everything that it asks for."""
    asked: list[Response] = []

    def keep(answer: Response) -> None:
        asked.append(answer)

    page.on("response", keep)
    page.goto(url, wait_until="networkidle")
    return sum(len(answer.body()) for answer in asked)


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


def test_the_address_on_a_tin_says_where_it_comes_from(phone: Page, story: Chain, tin: str) -> None:
    opened(phone, tin)
    expect(phone.locator("h1")).to_contain_text("Milled on stone")
    expect(phone.locator(".lead").first).to_contain_text("Saemidori from Lantern Terrace, 210 m up the Small valley.")
    told = phone.locator("dl.pairs").inner_text()
    assert {"Plucked", "Milled", "Packed", "Best before"} <= set(re.findall(r"^[A-Z][a-z]+(?: [a-z]+)?$", told, re.MULTILINE))
    assert "flush 1" in told
    assert "one stone pair" in told
    expect(phone.locator("main")).to_contain_text("No recall and no hold stands on it.")
    expect(phone.locator("main")).to_contain_text("Sift 2 g into a bowl")
    expect(phone.locator("main")).to_contain_text("Nobody has opened its page before.")
    assert fits(phone)


def test_a_second_person_reads_when_it_was_first_opened(phone: Page, tin: str) -> None:
    opened(phone, tin)
    opened(phone, tin)
    expect(phone.locator("main")).to_contain_text("Its page was first opened on")


def test_a_symbol_in_capitals_is_the_same_address(phone: Page, tin: str) -> None:
    assert opened(phone, tin.upper()).status == 200
    expect(phone.locator("h1")).to_contain_text("Milled on stone")


def test_it_is_light_asks_nobody_else_and_keeps_nothing(phone: Page, tin: str, watch: Watch) -> None:
    assert weight(phone, tin) < PAGE_BYTES_MOST
    assert phone.context.cookies() == []
    assert phone.evaluate("localStorage.length + sessionStorage.length") == 0
    assert phone.locator("script, iframe, img").count() == 0
    assert watch.complaints == []  # among them: an address outside


def test_codes_that_are_not_known_are_answered_alike(phone: Page, story: Chain, watch: Watch) -> None:
    taken_back = Packed(lots=[Sieved()])
    void = pack_of(taken_back)
    TakenBack(step=taken_back.step_id)
    never_made = pack_of(story.packed[0], 20)[:-1] + ("A" if pack_of(story.packed[0], 20)[-1] != "A" else "B")
    answers = set()
    for code in (void, never_made, "T0000", "hello"):
        answer = opened(phone, reverse("public:pack", args=[code]))
        answers.add((answer.status, answer.text()))
    assert [status for status, _ in answers] == [404]
    expect(phone.locator("h1")).to_have_text("The mill does not know this code")


def test_a_dark_phone_gets_a_dark_page(open_page: Any, tin: str) -> None:
    page: Page = open_page(PHONE_DARK)
    opened(page, tin)
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 22, 17)"
    assert fits(page)


def test_a_japanese_phone_reads_japanese(open_page: Any, tin: str) -> None:
    page: Page = open_page(PHONE, locale="ja-JP")
    answer = opened(page, tin)
    assert answer.headers["content-language"] == "ja"
    expect(page.locator("html")).to_have_attribute("lang", "ja")
    assert page.title().startswith("抹茶 缶 30 g")
    expect(page.locator("h1")).to_contain_text(re.compile("[ぁ-ん]"))
    page.get_by_text("English", exact=True).click()
    expect(page.locator("h1")).to_contain_text("Milled on stone")
    assert page.context.cookies() == []


def stop(lead: Hands, lot: str, door: str, why: str, main_act: str, what_to_do: str = "") -> None:
    """At the desk: stop a lot, or fetch it back."""
    lead.page.goto("/")
    lead.follow("Hold and fetch back")
    lead.follow(door)
    lead.scan(lot)
    lead.to_line("reason")
    lead.type(why)
    if what_to_do:
        lead.to_line("what_to_do")
        lead.type(what_to_do)
    lead.follow(main_act)


def test_a_hold_and_a_recall_stand_on_the_page_until_they_are_released(open_page: Any, phone: Page, story: Chain, tin: str) -> None:
    lead = come_in(open_page(DESKTOP), "quality")
    stop(lead, story.refined.code, "Stop a lot", "A smell of smoke", "Stop it")
    opened(phone, tin)
    expect(phone.locator("main")).to_contain_text("The mill has stopped this lot")
    expect(phone.locator("main")).to_contain_text("do not use it until the mill says more")
    expect(phone.locator("main")).not_to_contain_text("smoke")
    expect(phone.locator("main")).not_to_contain_text("Sift 2 g")

    stop(lead, story.refined.code, "Fetch a lot back", "Smoke in the leaf", "Fetch it back", "Take it back to the shop, opened or not.")
    opened(phone, tin)
    band = phone.locator(".fetch")
    expect(band.locator("h1")).to_contain_text("Do not use this pack")
    assert band.evaluate("at => getComputedStyle(at).backgroundColor") == "rgb(30, 31, 26)"
    expect(phone.locator("main")).to_contain_text("Take it back to the shop, opened or not.")
    assert fits(phone)

    for _ in range(2):
        lead.page.goto("/")
        lead.follow("Hold and fetch back")
        lead.walk(lambda pen: pen["words"].startswith("Release it"))
        lead.page.keyboard.press("Enter")
        lead.page.wait_for_url("**/release/")
        lead.settle()
        lead.to_line("reason")
        lead.type("Tasted twice, nothing found")
        lead.follow("Release it")
    opened(phone, tin)
    expect(phone.locator("main")).to_contain_text("No recall and no hold stands on it.")
    expect(phone.locator(".fetch")).to_have_count(0)
