"""How the desk treats people: what was typed stays, a question is asked once, two presses are one entry, doors say who may."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from lots.desk.access import may
from lots.desk.doors import DOORS, ROLES
from lots.models import JournalEntry
from tests.browser.hands import PASSWORD, Hands, come_in, known
from tests.browser.sights import DESKTOP, PHONE, PHONE_DARK
from tests.factories import FreshLeaf, Load, RefinedLeaf, found_small_mill, hand


@pytest.fixture(autouse=True)
def mill(live_server: Any) -> None:
    found_small_mill()


@pytest.fixture
def clerk(page_as: Any) -> Hands:
    return Hands(page_as(DESKTOP, hand("clerk")))


def entries() -> int:
    return JournalEntry.objects.count()


def open_screen(hands: Hands, name: str) -> None:
    hands.page.goto(reverse(name))
    hands.settle()


# What was typed stays -------------------------------------------------------------------------------------------------


def test_a_fault_leaves_everything_and_puts_the_pen_on_the_first_faulty_line(clerk: Hands) -> None:
    before, leaf = entries(), FreshLeaf().code
    open_screen(clerk, "drying")
    clerk.scan(leaf)
    clerk.figure("10.4l")
    clerk.type("4.6")
    clerk.choose("Basis", "per 100 wet")
    clerk.to_line("stem_mg")
    clerk.type("1.7421")
    clerk.follow("Write the oven batch down")
    page = clerk.page
    assert clerk.pen["name"] == "crude_mg"
    assert page.title().startswith("Error:")
    assert [page.input_value(f"[name={name}]") for name in ("lot", "crude_mg", "crude_moisture", "stem_mg")] == [leaf, "10.4l", "4.6", "1.7421"]
    expect(page.locator(".fault").first).to_contain_text("is a letter")
    expect(page.locator(".fault .more")).to_have_text("One more line below needs a hand.")
    assert page.get_attribute("[name=crude_mg]", "aria-invalid") == "true"
    described = page.get_attribute("[name=crude_mg]", "aria-describedby") or ""
    assert any(page.locator(f"#{one}").inner_text().startswith("“l”") for one in described.split())
    assert entries() == before + 1  # the leaf alone
    clerk.retype("10.41")
    clerk.to_line("stem_mg")
    clerk.retype("1.74")
    clerk.follow("Write the oven batch down")
    clerk.told("Crude leaf 10.41 kg")


def test_a_look_at_another_page_and_back_keeps_what_was_typed(clerk: Hands) -> None:
    open_screen(clerk, "harvest")
    clerk.scan("P1")
    clerk.type("3")
    act = clerk.page.input_value("[name=act_id]")
    clerk.follow("Field work")
    clerk.page.go_back()
    assert [clerk.page.input_value(f"[name={name}]") for name in ("plot", "bag_count", "act_id")] == ["P1", "3", act]
    expect(clerk.page.locator("[name=happened_at][value=now]")).to_be_checked()
    clerk.page.goto(reverse("harvest"))
    assert clerk.page.input_value("[name=plot]") == ""


def test_the_back_button_after_an_entry_writes_it_no_second_time(clerk: Hands) -> None:
    open_screen(clerk, "harvest")
    clerk.scan("P1")
    clerk.figure("3")
    clerk.figure("60.00")
    clerk.follow("Take the leaf in")
    clerk.told("60.00 kg")
    before = entries()
    clerk.page.go_back()
    clerk.settle()
    typed = clerk.page.input_value("[name=fresh_mg]")
    clerk.follow("Take the leaf in")
    if typed:  # the browser gave the old page back
        clerk.told("nothing was written twice")
    else:
        expect(clerk.page.locator(".fault").first).to_be_visible()
    assert entries() == before


def test_two_presses_are_one_entry(clerk: Hands) -> None:
    before = entries()
    open_screen(clerk, "cleaning")
    clerk.scan("SP1")
    clerk.choose("Was it opened?", "opened")
    with clerk.page.expect_navigation():
        clerk.page.dblclick("button.main")
    clerk.told("SP1 was opened and cleaned")
    assert entries() == before + 1


def test_language_and_lamp_keep_what_was_typed(clerk: Hands) -> None:
    page, leaf = clerk.page, RefinedLeaf().code
    open_screen(clerk, "milling-load")
    clerk.scan("SP1")
    clerk.scan(leaf)
    clerk.type("0.880")
    act = page.input_value("[name=act_id]")
    clerk.follow("Dim the page")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 22, 17)"
    clerk.follow("日本語")
    expect(page.locator("html")).to_have_attribute("lang", "ja")
    assert [page.input_value(f"[name={name}]") for name in ("pair", "lot", "charge_mg", "act_id")] == ["SP1", leaf, "0.880", act]
    clerk.follow("English")
    clerk.to_line("charge_mg")
    clerk.follow("Charge the hopper")
    clerk.told("0.880 kg")


# A fact is questioned once, a promise is refused -----------------------------------------------------------------------


def test_a_weighing_that_the_book_cannot_explain_is_asked_about_once(clerk: Hands) -> None:
    page, before = clerk.page, 0
    leaf = RefinedLeaf()
    before = entries()
    open_screen(clerk, "milling-load")
    clerk.scan("SP1")
    clerk.scan(leaf.code)
    clerk.type("9.400")
    clerk.follow("Charge the hopper")
    question = page.locator(".asked")
    expect(question).to_contain_text("Nothing was written yet.")
    assert clerk.pen["words"] == "Type again"
    assert page.input_value("[name=charge_mg]") == "9.400"
    assert entries() == before

    clerk.follow("It is right, write it down")
    expect(page.locator(".asked .fault")).to_contain_text("Say why it is right")
    clerk.choose("Or it is right. Why?", "The paper ticket says so")
    clerk.follow("It is right, write it down")
    clerk.told("9.400 kg")
    entry = JournalEntry.objects.order_by("-seq").first()
    assert entry is not None
    assert entries() == before + 1
    assert "The paper ticket says so" in bytes(entry.body).decode()


def test_another_figure_is_asked_about_anew(clerk: Hands) -> None:
    Load()
    open_screen(clerk, "milling-tub")
    clerk.scan("SP1")
    clerk.type("9.000")
    clerk.unfold()
    clerk.to_line("ground_h")
    clerk.type("22")
    clerk.follow("Take the tub off")
    expect(clerk.page.locator(".asked")).to_have_count(1)
    clerk.choose("Or it is right. Why?", "Weighed again")
    clerk.to_line("tub_mg")
    clerk.retype("8.000")
    clerk.follow("Take the tub off")
    expect(clerk.page.locator(".asked")).to_have_count(1)
    expect(clerk.page.locator(".told")).to_have_count(0)


# Doors ------------------------------------------------------------------------------------------------------------------


def test_the_door_rests_after_five_wrong_passwords(open_page: Any, settings: Any) -> None:
    settings.AXES_ENABLED = True
    user, page = known("clerk"), open_page(DESKTOP)
    page.goto(reverse("sign-in"))
    for attempt in ("one", "two", "three", "four", "five"):
        expect(page.locator("h1")).to_have_text("Sign in")
        page.fill("[name=username]", user.username)
        page.fill("[name=password]", attempt)
        page.click("button.main")
        page.wait_for_load_state()
        if attempt == "one":
            expect(page.locator(".fault")).to_contain_text("Name and password do not belong together.")
            assert page.input_value("[name=username]") == user.username
    expect(page.locator("h1")).to_have_text("Rest a quarter of an hour")
    page.goto(reverse("sign-in"))
    page.fill("[name=username]", user.username)
    page.fill("[name=password]", PASSWORD)
    page.click("button.main")
    expect(page.locator("h1")).to_have_text("Rest a quarter of an hour")


def test_a_stranger_comes_to_the_door_and_goes_on_from_there(open_page: Any) -> None:
    page = open_page(DESKTOP)
    page.goto(reverse("drying"))
    expect(page.locator("h1")).to_have_text("Sign in")
    user = known("clerk")
    page.fill("[name=username]", user.username)
    page.fill("[name=password]", PASSWORD)
    page.click("button.main")
    expect(page.locator("h1")).to_have_text("Oven")


@pytest.mark.parametrize("role", ROLES)
def test_everybody_sees_the_doors_of_their_work_and_is_told_about_the_others(page_as: Any, role: str) -> None:
    user = hand(role)
    page: Page = page_as(DESKTOP, user)
    page.goto(reverse("today"))
    shown = page.locator("nav[aria-labelledby=contents] li a").all_inner_texts()
    mine = [str(door.english) for door in DOORS if may(user, door.url_name) and door.url()]
    assert shown == mine
    expect(page.locator(".doors a")).not_to_have_count(0)
    assert set(page.locator(".doors a").all_inner_texts()) - {"Contents"} <= set(mine)
    closed = next((door for door in DOORS if door.url() and not may(user, door.url_name)), None)
    assert (closed is None) == (role in {"quality", "administrator"})
    if closed is not None:
        answer = page.goto(closed.url())
        assert answer is not None
        assert answer.status == 403
        expect(page.locator("h1")).to_have_text("Not this door")
        expect(page.locator("main")).to_contain_text("This page is for: the ")


# Without scripts, in the dark, on a phone ------------------------------------------------------------------------------


def test_a_whole_act_without_scripts(page_as: Any) -> None:
    page: Page = page_as(DESKTOP, hand("clerk"), scripts=False)
    leaf = FreshLeaf()
    page.goto(reverse("drying"))
    page.fill("[name=lot]", leaf.code)
    page.fill("[name=crude_mg]", "10.4l")
    page.fill("[name=crude_moisture]", "4.6")
    page.locator("label", has_text="per 100 wet").first.click()
    page.fill("[name=stem_mg]", "1.74")
    page.click("button.main")
    expect(page.locator(".fault")).to_have_count(1)
    assert page.input_value("[name=stem_mg]") == "1.74"
    page.fill("[name=crude_mg]", "10.41")
    page.click("button.main")
    expect(page.locator(".told")).to_contain_text("Crude leaf 10.41 kg")
    page.locator("button", has_text="日本語").click()
    expect(page.locator("html")).to_have_attribute("lang", "ja")


def test_a_dark_phone_stays_dark_and_takes_a_tub_off(page_as: Any) -> None:
    page: Page = page_as(PHONE_DARK, hand("clerk"))
    Load()
    page.goto(reverse("milling-tub"))
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 22, 17)"
    page.fill("[name=pair]", "SP1")
    page.locator("[name=pair]").press("Enter")
    expect(page.locator("[data-read=pair]")).to_contain_text("Pair 1")
    page.fill("[name=tub_mg]", "0.886")
    page.locator("summary", has_text="Seldom").click()
    page.fill("[name=ground_h]", "22")
    page.tap("button.main")
    expect(page.locator(".told")).to_contain_text("40.3 g/h over 22.0 hours")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 22, 17)"
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE_DARK.width


def test_on_a_phone_the_targets_are_as_large_as_a_thumb(page_as: Any) -> None:
    page: Page = page_as(PHONE, hand("clerk"))
    page.goto(reverse("milling-tub"))
    heights = page.locator("form[data-act] :is(button, .act, input[type=text], .choices label, summary)").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().height).filter(height => height > 0)"
    )
    assert len(heights) > 5
    assert min(heights) >= 56


def test_signing_out_closes_the_book(open_page: Any) -> None:
    hands = come_in(open_page(DESKTOP), "clerk")
    hands.walk(lambda pen: re.fullmatch(r"Sign out \w+", pen["words"]) is not None)
    hands.save()
    expect(hands.page.locator("h1")).to_have_text("Sign in")
    hands.page.goto(reverse("today"))
    expect(hands.page.locator("h1")).to_have_text("Sign in")
