"""The page that every screen hangs on: its head and foot, its two switches, its refusals, and the strict policy."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import engines
from django.template.loader import get_template
from django.test import Client
from django.urls import path
from django.views.i18n import set_language

from lots.desk.accounts import LogoutView, SignIn
from lots.desk.lamp import lamp
from tests import factories

ROOT = Path(settings.BASE_DIR)
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
SCRIPTS = sorted((ROOT / "static" / "js").glob("*.js"))
SCREEN = """{% extends "base.html" %}{% load i18n ledger %}{% block title %}Stones & <i>pairs</i>{% endblock %}
{% block lead %}{{ said }}{% endblock %}{% block content %}<h2>Wall</h2>{% endblock %}"""


def screen(request: HttpRequest) -> HttpResponse:
    if "told" in request.GET:
        messages.success(request, "Written as entry 1,142.")
    context = {"said": request.GET.get("said", "")}
    return HttpResponse(engines["django"].from_string(SCREEN).render(context, request))


def refused(request: HttpRequest) -> HttpResponse:
    return render(request, "403.html", {"exception": "Only the recall lead may do this."}, status=403)


urlpatterns = [
    path("", screen, name="today"),
    path("stones/", screen, name="milling"),
    path("stones/tub/", screen, name="milling-tub"),
    path("shut/", refused, name="shut"),
    path("lamp/", lamp, name="lamp"),
    path("language/", set_language, name="set_language"),
    path("in/", SignIn.as_view(), name="sign-in"),
    path("out/", LogoutView.as_view(), name="sign-out"),
]
pytestmark = [pytest.mark.urls(__name__), pytest.mark.django_db]


@pytest.fixture
def desk(client: Client) -> Client:
    client.force_login(factories.hand("clerk"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def page(client: Client, address: str = "/stones/tub/") -> str:
    return client.get(address).content.decode()


def test_the_title_stands_on_the_page_and_without_markup_in_the_browser(desk: Client) -> None:
    answer = page(desk)
    assert "<h1>Stones & <i>pairs</i></h1>" in answer
    assert "<title>Stones & pairs · Tea Lot Ledger</title>" in answer


def test_the_door_is_open_and_named_in_the_other_language(desk: Client) -> None:
    answer = page(desk)
    assert '<a href="/stones/" aria-current="page">Stones</a>' in answer
    assert '<p class="other" lang="ja">石臼</p>' in answer
    assert 'class="folio"' in answer


def test_the_page_in_japanese(desk: Client) -> None:
    desk.cookies[settings.LANGUAGE_COOKIE_NAME] = "ja"
    answer = page(desk)
    assert '<html lang="ja">' in answer
    assert '<p class="other" lang="en">Stones</p>' in answer
    assert 'value="en" lang="en">English</button>' in answer


def test_a_lead_and_what_was_written(desk: Client) -> None:
    assert '<p class="lead">Six pairs mill.</p>' in page(desk, "/?said=Six+pairs+mill.")
    assert '<p class="lead">' not in page(desk, "/")
    assert '<div class="told" role="status"><p class="success">Written as entry 1,142.</p></div>' in page(desk, "/?told")


def test_the_house_says_who_it_is_and_that_its_data_is_invented(desk: Client) -> None:
    assert "Invented data" not in page(desk)
    factories.found_small_mill()
    answer = page(desk)
    assert "Invented data" in answer
    assert re.search(r"entry \d", answer)
    assert "All sent" in answer


def test_the_lamp_is_in_the_first_bytes(desk: Client) -> None:
    assert 'content="light dark"' in page(desk)
    assert "data-lamp" not in page(desk).split("<head>")[0]
    answer = desk.post("/lamp/", {"lamp": "low", "next": "/stones/tub/?a=1"})
    assert (answer.status_code, answer["Location"]) == (303, "/stones/tub/?a=1")
    assert answer.cookies["lamp"]["httponly"]
    first = page(desk)
    assert '<html lang="en" data-lamp="low">' in first
    assert first.index('content="dark"') < first.index("<title>") < first.index("ledger.css")


def test_the_device_decides_again(desk: Client) -> None:
    desk.post("/lamp/", {"lamp": "high"})
    assert 'data-lamp="high"' in page(desk)
    desk.post("/lamp/", {"lamp": "any"})
    assert 'data-lamp="' not in page(desk).split("<head>")[0]


@pytest.mark.parametrize("way", ["https://elsewhere.example/", "//elsewhere.example", "", "javascript:x"])
def test_the_lamp_leads_nowhere_else(client: Client, way: str) -> None:
    assert client.post("/lamp/", {"lamp": "low", "next": way})["Location"] == "/"


def test_a_made_up_lamp_is_no_lamp(client: Client) -> None:
    client.cookies["lamp"] = '"><script>'
    assert "<script>" not in page(client, "/").split("<head>")[0]
    assert client.get("/lamp/").status_code == 405


def test_the_switches_come_back_to_the_page(desk: Client) -> None:
    assert page(desk, "/stones/?sort=pair").count('name="next" value="/stones/?sort=pair"') == 2


def test_signing_in_and_out(client: Client) -> None:
    answer = page(client, "/in/?next=/stones/")
    assert 'name="next" value="/stones/"' in answer
    assert 'autocomplete="current-password"' in answer
    assert 'class="doors"' not in answer
    wrong = client.post("/in/", {"username": "nobody", "password": "x"}).content.decode()
    assert "Name and password do not belong together." in wrong
    assert 'value="nobody"' in wrong
    empty = client.post("/in/", {"username": "", "password": ""}).content.decode()
    assert "Type your name." in empty
    assert "Type your password." in empty
    assert empty.count("autofocus") == 1


def test_an_address_that_is_none_leaves_no_cookie(client: Client) -> None:
    answer = client.get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing stands at this address." in answer.content.decode()
    assert not answer.cookies


def test_a_shut_door_says_why(client: Client) -> None:
    assert "Only the recall lead may do this." in client.get("/shut/").content.decode()


def test_a_stumble_needs_no_database_and_no_session() -> None:
    words = get_template("500.html").render()
    assert "either written whole or not at all" in words
    assert "{%" not in words


def test_a_foreign_form_is_told_that_nothing_was_written() -> None:
    answer = Client(enforce_csrf_checks=True).post("/lamp/", {"lamp": "low"})
    assert answer.status_code == 403
    assert "Nothing was written" in answer.content.decode()


# What the strict policy asks of every file ----------------------------------------------------------------------------

INLINE = re.compile(r"<style\b|\sstyle=|\son[a-z]+=[\"']|<script(?![^>]*\ssrc=)|javascript:|https?://(?!www\.w3\.org)", re.IGNORECASE)


def own_templates() -> list[Path]:
    return [file for file in TEMPLATES if "paper" not in file.parts]


def test_templates_hold_no_style_no_script_and_no_foreign_address() -> None:
    files = own_templates()
    assert len(files) > 20
    found = [(file.name, INLINE.findall(file.read_text(encoding="utf-8"))) for file in files]
    assert [entry for entry in found if entry[1]] == []


@pytest.mark.parametrize("file", own_templates(), ids=lambda file: file.name)
def test_every_template_can_be_read(file: Path) -> None:
    assert get_template(file.relative_to(ROOT / "templates").as_posix())


def test_scripts_are_short_and_stand_alone() -> None:
    assert SCRIPTS
    for file in SCRIPTS:
        text = file.read_text(encoding="utf-8")
        assert len(text.splitlines()) < 150, file.name
        # Names of static files are hashed: a module that names another would not find it.
        assert not re.search(r"^\s*(?:import|export)\b|\bimport\(|\beval\(|new Function|document\.write", text, re.MULTILINE), file.name
        assert text.startswith("//"), file.name


def test_no_script_has_a_shortcut_of_one_key() -> None:
    keys = {key for file in SCRIPTS for key in re.findall(r"\.key [!=]==? \"(\w+)\"", file.read_text(encoding="utf-8"))}
    assert keys == {"F1", "Enter", "Tab", "Shift", "Escape"}


def test_the_style_sheet_takes_nothing_from_elsewhere() -> None:
    text = (ROOT / "static" / "css" / "ledger.css").read_text(encoding="utf-8")
    assert not re.search(r"url\(|@import|https?:", text)
    assert text.count("{") == text.count("}")


# Contrast, after WCAG 2.2: relative luminance and ratio as defined there ----------------------------------------------


def tokens(selector: str) -> dict[str, str]:
    text = (ROOT / "static" / "css" / "ledger.css").read_text(encoding="utf-8")
    body = text[text.index(selector):]
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6})", body[: body.index("}")]))


def luminance(colour: str) -> float:
    parts = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("selector", [":root {", ':root:not([data-lamp="high"]) {', ':root[data-lamp="low"] {'])
def test_words_have_seven_to_one_and_borders_three(selector: str) -> None:
    colours = tokens(selector)
    for ground in ("paper", "lamp", "shade"):
        for word in ("ink", "soft", "link", "closed", "look", "stop", "none"):
            assert contrast(colours[word], colours[ground]) >= 7, (word, ground)
        for border in ("line", "seam", "focus"):
            assert contrast(colours[border], colours[ground]) >= 3, (border, ground)


def test_the_ratio_is_that_of_the_guideline() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
