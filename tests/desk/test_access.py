"""Who may open which page: a row for every page of the desk, and nobody gets past it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from lots.desk import access
from lots.desk import urls as desk_urls
from lots.desk.access import ANYBODY, PAGES, may, row_of
from lots.desk.doors import DOORS, EVERYBODY, ROLES
from tests import factories
from tests.desk.conftest import Hands, page

# Addresses that are no page of the desk: the packs' own pages and the switch of languages.
OUTSIDE = {"set_language"}


def names(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from names(pattern.url_patterns)
        else:
            yield pattern.name or str(pattern.pattern)


DESK = sorted(set(names(desk_urls.urlpatterns)))


@pytest.mark.parametrize("name", DESK)
def test_every_page_has_a_row(name: str) -> None:
    row = row_of(name)
    assert row, f"{name} has no row in lots/desk/access.py"
    assert row is ANYBODY or row <= EVERYBODY


def test_every_row_has_a_page() -> None:
    bare = {name.removesuffix("-live").removesuffix("-file") for name in DESK}
    planned = set(PAGES) - bare
    from lots.desk.urls_papers import PAPER_ROLES
    from lots.desk.urls_reading import READING_ROLES

    assert planned <= set(PAPER_ROLES) | set(READING_ROLES)


def test_nothing_of_the_site_is_outside_the_guard() -> None:
    packs = [part for part in get_resolver().url_patterns if str(part.pattern).lower() == "p/"]
    rest = [part for part in get_resolver().url_patterns if part not in packs]
    assert packs
    assert set(names(rest)) - set(DESK) - OUTSIDE == set()


def test_every_view_is_guarded() -> None:
    def callbacks(patterns: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from callbacks(pattern.url_patterns)
            else:
                yield pattern

    open_views = [p.name for p in callbacks(desk_urls.urlpatterns) if not hasattr(p.callback, "__wrapped__")]
    assert open_views == []


def test_doors_and_pages_agree() -> None:
    wrong = [door.url_name for door in DOORS if (row := row_of(door.url_name)) is not None and not door.roles <= row]
    assert wrong == []


def test_a_page_without_a_row_opens_for_nobody() -> None:
    class Root:
        is_authenticated, is_superuser = True, True

    assert not may(Root(), "a-page-that-nobody-thought-of")


ADDRESSES = {
    "today": "/", "harvest": "/leaf-in/", "drying": "/oven/", "refining": "/sorting/", "milling": "/stones/", "milling-load": "/stones/charge/",
    "milling-tub": "/stones/tub/", "milling-close": "/stones/end/", "milling-dressing": "/stones/dressing/", "cleaning": "/clean-down/",
    "sieving": "/sieve/", "packing": "/tins-and-bags/", "dispatch": "/going-out/", "counting": "/stock-count/", "field": "/field/",
    "field-shading": "/field/shading/", "field-treatment": "/field/treatment/", "holding": "/hold/", "holding-hold": "/hold/stop/",
    "holding-recall": "/hold/fetch-back/", "registers": "/registers/", "registers-list": "/registers/scale/",
    "registers-enter": "/registers/scale/enter/", "corrections": "/corrections/",
    "office": "/office/", "office-balance": "/office/balance/", "office-yields": "/office/yields/", "office-plan": "/office/plan/",
    "office-late": "/office/late/", "office-keeping": "/office/keeping/", "office-authorisations": "/office/authorisations/",
    "office-indicators": "/office/indicators/", "office-accounts": "/office/accounts/",
}


@pytest.mark.django_db
@pytest.mark.parametrize("role", ROLES)
def test_the_matrix_as_it_is_lived(hands: Hands, role: str) -> None:
    client = hands(role)
    opened = {name for name, url in ADDRESSES.items() if client.get(url).status_code == 200}
    assert opened == {name for name in ADDRESSES if role in PAGES[name]}
    closed = {name: client.get(url).status_code for name, url in ADDRESSES.items() if name not in opened}
    assert set(closed.values()) <= {403}


@pytest.mark.django_db
def test_what_does_not_open_does_not_write_either(hands: Hands) -> None:
    auditor = hands("auditor")
    for url in ("/leaf-in/", "/leaf-in/live/", "/hold/stop/", "/registers/scale/enter/", "/going-out/"):
        assert auditor.post(url, {}).status_code == 403
    assert factories.JournalHead.objects.get().size > 0


@pytest.mark.django_db
def test_the_refusal_says_who_may(hands: Hands) -> None:
    said = page(hands("packing").get("/leaf-in/"))
    assert "Your name does not open this page." in said
    assert "This page is for: the desk clerk, the quality lead, the administrator." in said


@pytest.mark.django_db
def test_a_stranger_is_sent_to_the_door_and_back(mill: None) -> None:
    for url in ADDRESSES.values():
        answer = Client().get(url)
        assert (answer.status_code, answer.url) == (302, f"/sign-in/?next={url}")


@pytest.mark.django_db
def test_an_account_without_a_role(mill: None) -> None:
    client = Client()
    client.force_login(User.objects.create(username="new"), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.get("/stones/")
    assert answer.status_code == 403
    assert "new has no role at this desk yet." in page(answer)


@pytest.mark.django_db
def test_a_superuser_opens_all(mill: None) -> None:
    client = Client()
    client.force_login(User.objects.create(username="root", is_superuser=True), backend="django.contrib.auth.backends.ModelBackend")
    assert {client.get(url).status_code for url in ADDRESSES.values()} == {200}


def test_the_table_names_roles_that_there_are() -> None:
    assert set(access.ROLE_WORDS) == set(ROLES)
