"""What the scripts of the desk do under the hands: scanner, gloves, weak network. Each on a page with a form of its own."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.template import engines
from django.urls import path
from django.utils import translation
from django.views.i18n import set_language
from playwright.sync_api import Page, Route, expect

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, MassField, MoistureField, MomentField, ScanField
from lots.desk.lamp import lamp
from tests.browser.sights import DESKTOP, PHONE

SCREEN = """{% extends "base.html" %}{% block title %}Take a tub off{% endblock %}
{% block content %}{% include "parts/act_form.html" %}{% endblock %}"""


class TubForm(ActForm):
    main_act = "Take the tub off"
    pair = ScanField(label="Scan the tag")
    tub_mg = MassField(label="Powder in the tub", places=3, capacity=30)
    moisture = MoistureField(label="Moisture", required=False)
    taken_off_at = MomentField(label="When")
    hopper = ChoiceStrip(label="The hopper", choices=[("on", "runs on"), ("dry", "ran dry")], initial="on")


def tub(request: HttpRequest) -> HttpResponse:
    form = TubForm(request.POST or None)
    form.live_url = "/live/"
    if form.is_valid():
        messages.success(request, f"{form.facts['pair'].code} {form.facts['tub_mg']} {form.act_id}")
        return HttpResponseRedirect("/tub/")
    return HttpResponse(engines["django"].from_string(SCREEN).render({"form": form}, request))


def live(request: HttpRequest) -> HttpResponse:
    known = TubForm(request.POST).so_far()
    said = {"say": f"{known['tub_mg'] // 1000} g came out.", "in_mg": 900_000, "out_mg": known["tub_mg"]} if "tub_mg" in known else {}
    return render(request, "parts/live.html", said | {"reads": {"pair": "Pair 4, long mist."} if "pair" in known else {}})


def read_symbol(_request: HttpRequest) -> HttpResponse:
    return JsonResponse({"codes": ["SP6"]})


urlpatterns = [
    path("tub/", tub, name="milling-tub"),
    path("live/", live, name="milling-tub-live"),
    path("lamp/", lamp, name="lamp"),
    path("language/", set_language, name="set_language"),
    path("symbol/", read_symbol, name="read-symbol"),
]
pytestmark = pytest.mark.urls(__name__)


@pytest.fixture
def desk(open_page: Any) -> Page:
    page: Page = open_page(DESKTOP)
    page.goto("/tub/")
    return page


def pen(page: Page) -> str:
    return str(page.evaluate("document.activeElement.name"))


def fill(page: Page, pair: str = "SP4", figure: str = "0.888") -> None:
    page.fill("[name=pair]", pair)
    page.fill("[name=tub_mg]", figure)


def press(page: Page) -> None:
    with page.expect_navigation():
        page.click("button.main")


def test_a_scan_moves_on_and_its_sentence_comes(desk: Page) -> None:
    assert pen(desk) == "pair"
    desk.keyboard.type("SP4")
    desk.keyboard.press("Enter")
    assert pen(desk) == "tub_mg"
    expect(desk.locator("[data-read=pair]")).to_have_text("Pair 4, long mist.")


def test_the_balance_follows_the_typing(desk: Page) -> None:
    fill(desk)
    expect(desk.locator(".live .say")).to_have_text("888 g came out.")
    expect(desk.locator(".live rect.ink")).to_have_attribute("width", "987")


def test_a_scan_outside_any_line_presses_no_button(desk: Page) -> None:
    desk.focus("button.main")
    desk.keyboard.type("R26-0001A8")
    desk.keyboard.press("Enter")
    assert (desk.input_value("[name=pair]"), pen(desk)) == ("R26-0001A8", "tub_mg")
    expect(desk.locator(".fault")).to_have_count(0)


def test_words_outside_any_line_are_no_scan(desk: Page) -> None:
    desk.evaluate("document.activeElement.blur()")
    desk.keyboard.type("hello")
    desk.keyboard.press("Enter")
    assert desk.input_value("[name=pair]") == ""


def test_a_code_among_the_figures_is_moved(desk: Page) -> None:
    desk.focus("[name=tub_mg]")
    desk.keyboard.type("R260001A8")
    desk.keyboard.press("Enter")
    assert (desk.input_value("[name=pair]"), desk.input_value("[name=tub_mg]"), pen(desk)) == ("R260001A8", "", "tub_mg")
    expect(desk.locator("[data-note]")).to_contain_text("That was a code.")


def test_an_input_method_needs_no_second_enter(desk: Page) -> None:
    desk.evaluate("""() => {
      const line = document.querySelector("[name=pair]");
      line.value = "ＳＰ４";
      line.dispatchEvent(new CompositionEvent("compositionend", { bubbles: true, data: line.value }));
    }""")
    expect(desk.locator("[name=tub_mg]")).to_be_focused()
    assert desk.input_value("[name=pair]") == "SP4"


def test_enter_in_the_last_line_saves(desk: Page) -> None:
    fill(desk)
    desk.focus("[name=tub_mg]")
    desk.keyboard.press("Enter")
    assert pen(desk) == "moisture"
    with desk.expect_navigation():
        desk.keyboard.press("Enter")
    expect(desk.locator(".told")).to_contain_text("SP4 888000")


def test_the_pad_writes_where_the_pen_is(desk: Page) -> None:
    for key in ("0", ".", "7", "back", "8"):
        desk.click(f'[data-key="{key}"]')
    assert (desk.input_value("[name=tub_mg]"), pen(desk)) == ("0.8", "tub_mg")
    desk.click('[data-key="next"]')
    assert pen(desk) == "moisture"
    desk.click('[data-key="5"]')
    assert desk.input_value("[name=moisture]") == "5"


def test_a_phone_has_no_pad(open_page: Any) -> None:
    page: Page = open_page(PHONE)
    page.goto("/tub/")
    expect(page.locator(".pad")).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE.width


def test_both_moistures_are_shown(desk: Page) -> None:
    desk.fill("[name=moisture]", "400")
    desk.click("text=per 100 dry")
    expect(desk.locator("output")).to_have_text("400 per 100 dry = 80.0 per 100 wet")


def test_a_typed_time_means_earlier(desk: Page) -> None:
    desk.check("[value=earlier]", force=True)
    desk.check("[value=now]", force=True)
    desk.evaluate("""() => {
      const clock = document.querySelector("[name=taken_off_at_clock]");
      clock.value = "08:05";
      clock.dispatchEvent(new Event("input", { bubbles: true }));
    }""")
    expect(desk.locator("[value=earlier]")).to_be_checked()


def test_two_presses_are_one_act(desk: Page) -> None:
    sent: list[str] = []
    desk.on("request", lambda request: sent.append(request.url) if request.method == "POST" and request.url.endswith("/tub/") else None)
    fill(desk)
    with desk.expect_navigation():
        desk.dblclick("button.main")
    assert len(sent) == 1


def test_the_next_form_is_another_act(desk: Page) -> None:
    first = desk.input_value("[name=act_id]")
    fill(desk)
    press(desk)
    expect(desk.locator(".told")).to_contain_text(first)
    assert desk.input_value("[name=act_id]") != first
    assert desk.input_value("[name=tub_mg]") == ""


def test_nothing_is_lost_while_the_server_is_not_reached(desk: Page, watch: Any) -> None:
    fill(desk)
    desk.wait_for_timeout(900)
    desk.context.set_offline(True)
    desk.click("button.main")
    expect(desk.locator("[data-note]")).to_contain_text("The server is not reached.")
    expect(desk.locator("[data-sending]")).to_contain_text("The server is not reached since")
    assert desk.input_value("[name=tub_mg]") == "0.888"
    desk.context.set_offline(False)
    expect(desk.locator("[data-sending]")).not_to_contain_text("not reached")
    assert [line for line in watch.complaints if "ERR_INTERNET_DISCONNECTED" not in line] == []
    watch.complaints.clear()
    press(desk)
    expect(desk.locator(".told")).to_contain_text("SP4 888000")


def test_a_lost_answer_is_sent_again_as_the_same_act(desk: Page, watch: Any) -> None:
    sent: list[str | None] = []

    def lose(route: Route) -> None:
        sent.append(route.request.post_data)
        route.abort()

    fill(desk)
    desk.route("**/tub/", lose)
    desk.click("button.main")
    desk.wait_for_function("() => !document.querySelector('form')")
    desk.unroute("**/tub/")
    desk.on("request", lambda request: sent.append(request.post_data) if request.method == "POST" else None)
    desk.reload()
    expect(desk.locator(".told")).to_contain_text("SP4 888000")
    assert sent[0] == sent[1]
    watch.complaints.clear()


def test_lamp_and_language_keep_what_was_typed(desk: Page) -> None:
    fill(desk)
    act = desk.input_value("[name=act_id]")
    with desk.expect_navigation():
        desk.click("button.when-light")
    assert desk.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 22, 17)"
    with desk.expect_navigation():
        desk.click("button[name=language]")
    expect(desk.locator("html")).to_have_attribute("lang", "ja")
    assert [desk.input_value(f"[name={name}]") for name in ("pair", "tub_mg", "act_id")] == ["SP4", "0.888", act]


def test_f1_opens_the_help(desk: Page) -> None:
    desk.keyboard.press("F1")
    expect(desk.locator("#help summary")).to_be_focused()
    with translation.override("en"):
        expect(desk.locator("#help")).to_contain_text("Moves on to the next line")


def test_the_camera_reads_through_the_server(desk: Page) -> None:
    # A browser without a camera and without a reader of its own: both are put in, the picture goes to the server.
    desk.add_init_script("""
      delete window.BarcodeDetector;
      const canvas = Object.assign(document.createElement("canvas"), { width: 64, height: 64 });
      setInterval(() => canvas.getContext("2d").fillRect(0, 0, 64, 64), 50);
      Object.defineProperty(navigator, "mediaDevices", { value: { getUserMedia: async () => canvas.captureStream(20) } });
    """)
    desk.reload()
    desk.click(".by-camera")
    expect(desk.locator("[name=pair]")).to_have_value("SP6")
    expect(desk.locator("[name=tub_mg]")).to_be_focused()
    expect(desk.locator("video")).to_have_count(0)


def test_the_keys_go_from_scan_to_figure(desk: Page) -> None:
    walk = []
    for _ in range(5):
        walk.append(pen(desk))
        desk.keyboard.press("Tab")
    assert walk == ["pair", "tub_mg", "moisture", "moisture_basis", "taken_off_at"]
