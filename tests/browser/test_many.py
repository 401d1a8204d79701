"""The scan line with room for many codes, under a scanner: one code a line, wherever the pen is."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import Hands, known
from tests.browser.sights import DESKTOP
from tests.factories import found_small_mill, mill

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def sieve(page_as: Any) -> Page:
    found_small_mill()
    mill(tub_count=3)
    page: Page = page_as(DESKTOP, known("clerk"))
    page.goto("/sieve/")
    return page


def lines(page: Page) -> list[str]:
    return page.locator("[name=lots]").input_value().split()


def test_each_scan_is_a_line_and_an_empty_line_moves_on(sieve: Page) -> None:
    hands = Hands(sieve)
    assert hands.pen["name"] == "lots"
    hands.scan("M26000018")
    hands.scan("M26000026")
    assert lines(sieve) == ["M26000018", "M26000026"]
    assert hands.pen["name"] == "lots"
    hands.enter()
    assert hands.pen["name"] in {"job", "through_mg"}
    assert lines(sieve) == ["M26000018", "M26000026"]


def test_a_scan_outside_any_line_joins_those_that_stand_there(sieve: Page) -> None:
    hands = Hands(sieve)
    hands.scan("M26000018")
    sieve.locator("h1").click()
    hands.scan("M26000026")
    sieve.locator("h1").click()
    hands.scan("M26000034")
    assert lines(sieve) == ["M26000018", "M26000026", "M26000034"]


def test_a_scan_among_the_figures_joins_them_too_and_the_figure_stays_empty(sieve: Page) -> None:
    hands = Hands(sieve)
    hands.scan("M26000018")
    sieve.locator("[name=through_mg]").focus()
    hands.scan("M26000026")
    assert lines(sieve) == ["M26000018", "M26000026"]
    assert sieve.locator("[name=through_mg]").input_value() == ""
    assert hands.pen["name"] == "through_mg"


def test_what_was_scanned_is_told_under_the_line(sieve: Page) -> None:
    from lots.models import Lot

    hands = Hands(sieve)
    for code in Lot.objects.filter(material="tub_powder").order_by("pk").values_list("code", flat=True):
        hands.scan(code)
    expect(sieve.locator("[data-read=lots]")).to_contain_text("3 lots, the last")
    expect(sieve.locator(".live")).to_contain_text("2.658 kg go in.")


def test_the_line_grows_with_what_stands_in_it(sieve: Page) -> None:
    hands = Hands(sieve)
    for number in range(6):
        hands.scan(f"M2600001{number}")
    assert sieve.locator("[name=lots]").evaluate("line => line.scrollHeight <= line.clientHeight")


def test_without_a_script_the_lines_are_sent_as_they_stand(browser: Any, live_server: Any, sieve: Page) -> None:
    bare = browser.new_context(base_url=live_server.url, java_script_enabled=False, storage_state=sieve.context.storage_state())
    page = bare.new_page()
    page.goto("/sieve/")
    page.fill("[name=lots]", "M26-00001\nnothing")
    page.get_by_role("button", name="Write the sieving down").click()
    assert page.locator("[name=lots]").input_value().split() == ["M26-00001", "nothing"]
    expect(page.locator("h1")).to_contain_text("Sieve")
    bare.close()
