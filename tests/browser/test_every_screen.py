"""Every screen of the site, as desktop and phone, light and dark: it opens, fits, complains of nothing, and can be read by everybody."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone
from playwright.sync_api import Page

from tests.browser import screens
from tests.browser.hands import Hands
from tests.browser.sights import DESKTOP, Sight
from tests.factories import Load, RefinedLeaf, found_small_mill, hand, mill

PAGES = sorted((name for name in screens.names() if screens.is_page(name)), key=lambda name: name == "sign-in")
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}}
READ_BY_RULES = DESKTOP  # the rules look at what a page is, hardly at how it is seen; once is enough, and they take their time
CONTRAST_LEAST = 7

LOOK = """() => {
  const seen = (node) => node.checkVisibility() && node.getClientRects().length > 0;
  const main = document.querySelector("main");
  const named = (node) => (node.labels && [...node.labels].some((label) => label.innerText.trim()))
    || node.getAttribute("aria-label") || node.getAttribute("aria-labelledby") || (node.innerText ?? node.textContent).trim();
  const lines = [...document.querySelectorAll("input:not([type=hidden]), select, textarea, button, a")].filter(seen);
  const told = (node) => node.getAttribute("aria-label") || node.querySelector("title")?.textContent.trim()
    || document.getElementById(node.getAttribute("aria-labelledby"))?.textContent.trim();
  const ids = [...document.querySelectorAll("[id]")].map((node) => node.id);
  const drawings = [...main.querySelectorAll("figure.drawing")];
  return {
    titles: document.querySelectorAll("h1").length,
    sideways: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    language: document.documentElement.lang,
    nameless: lines.filter((node) => !named(node)).map((node) => node.outerHTML.slice(0, 120)),
    twice: ids.filter((id, at) => ids.indexOf(id) !== at),
    pushed: lines.filter((node) => node.tabIndex > 0).map((node) => node.outerHTML.slice(0, 120)),
    mute: [...document.querySelectorAll("svg")].filter((svg) => !svg.closest("[aria-hidden=true]") && !(
      ["img", "group"].includes(svg.getAttribute("role")) && told(svg)
    )).map((svg) => svg.outerHTML.slice(0, 120)),
    lone: drawings.filter((figure) => ![...main.querySelectorAll("table, ol, ul, dl")].some(
      (twin) => seen(twin) && figure.compareDocumentPosition(twin) & Node.DOCUMENT_POSITION_FOLLOWING
    )).length,
  };
}"""
FAINT = """() => {
  const numbers = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ratio = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);
  const ground = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const colour = numbers(getComputedStyle(at).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = walker.nextNode(); text; text = walker.nextNode()) {
    const node = text.parentElement;
    if (!text.data.trim() || node.closest("svg, script, template") || !node.checkVisibility()) continue;
    const seen = ratio(numbers(getComputedStyle(node).color), ground(node));
    if (seen < LEAST) found.push(`${seen.toFixed(1)} ${text.data.trim().slice(0, 40)}`);
  }
  return [...new Set(found)];
}""".replace("LEAST", str(CONTRAST_LEAST))


@pytest.fixture
def story(live_server: Any) -> screens.Story:
    return screens.tell()


def looked_at(page: Page, url: str) -> dict[str, Any]:
    """What is wrong with a page, by the kind of fault; nothing where it is well."""
    answer = page.goto(url)
    assert answer is not None
    found = page.evaluate(LOOK)
    faults = {kind: found[kind] for kind in ("nameless", "twice", "pushed", "mute", "lone") if found[kind]}
    if not answer.url.endswith(url):
        faults["elsewhere"] = answer.url
    if answer.status != 200:
        faults["status"] = answer.status
    if found["titles"] != 1:
        faults["titles"] = found["titles"]
    if found["sideways"] > 0:
        faults["sideways"] = found["sideways"]
    if found["language"] != "en":
        faults["language"] = found["language"]
    return faults | ({"faint": faint} if (faint := page.evaluate(FAINT)) else {})


def against_the_rules(page: Page) -> list[str]:
    """What the rules of axe-core find on the page that stands open."""
    broken = Axe().run(page, options=RULES).response["violations"]
    return [f"{rule['id']}: {node['html'][:160]}" for rule in broken for node in rule["nodes"][:3]]


def test_every_screen_can_be_seen_and_read(page_as: Any, sight: Sight, story: screens.Story) -> None:
    page: Page = page_as(sight, hand("administrator"))
    faults: dict[str, Any] = {}
    opened = 0
    for name in PAGES:
        urls = screens.addresses(name, story)
        for url in urls:
            if name == "sign-in":  # the last: it shows itself to strangers only
                page.context.clear_cookies()
            found = looked_at(page, url)
            if sight is READ_BY_RULES and url == urls[-1] and (broken := against_the_rules(page)):
                found["rules"] = broken
            if found:
                faults[url] = found
            opened += 1
    assert not faults, "\n".join(f"{url}: {found}" for url, found in faults.items())
    assert opened > len(PAGES)


# How many keys a task takes. The table of the trade counts scans, keys (Enter included) and taps; a count may shrink.


@pytest.fixture
def mill_hand(live_server: Any, page_as: Any) -> Hands:
    found_small_mill()
    return Hands(page_as(DESKTOP, hand("clerk")))


def begin(hands: Hands, url: str) -> Hands:
    hands.page.goto(url)
    hands.settle()
    return Hands(hands.page)


def test_starting_a_stone_run_takes_two_scans_and_six_keys(mill_hand: Hands) -> None:
    leaf = RefinedLeaf()
    hands = begin(mill_hand, "/stones/charge/")
    hands.scan("SP1")
    hands.scan(leaf.code)
    hands.type("0.880")
    hands.save()
    hands.told("0.880 kg")
    assert hands.within(scans=2, keys=6)


def test_taking_a_tub_off_takes_one_scan_and_six_keys(mill_hand: Hands) -> None:
    Load(happened_at=timezone.now() - dt.timedelta(hours=22))
    hands = begin(mill_hand, "/stones/tub/")
    hands.scan("SP1")
    hands.type("0.886")
    hands.save()
    hands.told("0.886 kg off pair SP1")
    assert hands.within(scans=1, keys=6)


def test_sieving_a_job_takes_one_scan_fourteen_keys_and_a_tap(mill_hand: Hands) -> None:
    job = mill(job="J26-09")
    hands = begin(mill_hand, "/sieve/")
    hands.scan("J26-09")
    hands.enter()
    hands.figure("1.76")
    hands.type("0.011")
    hands.tap("mill again")
    hands.save()
    assert job.tubs
    hands.told("1.76 kg through the screen")
    assert hands.within(scans=1, keys=14, taps=1)
