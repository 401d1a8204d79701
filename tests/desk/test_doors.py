"""Doors: at most five at the head of a page, the open one among them, and none that leads nowhere."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import translation

from lots.desk.doors import (
    DOORS,
    DOORS_SHOWN_MAX,
    EVERYBODY,
    FIRST_DOORS,
    ROLES,
    contents,
    current_door,
    head_doors,
    roles_of,
)
from lots.record.accounts import ROLES as ROLES_OF_ACCOUNTS
from tests import factories


def page(_request: HttpRequest) -> HttpResponse:
    return HttpResponse()


names = [*(door.url_name for door in DOORS if door.url_name != "season"), "milling-tub", "lot", "lot-book-print"]
urlpatterns = [path(f"{name}/", page, name=name) for name in names]
pytestmark = pytest.mark.urls(__name__)


@pytest.mark.parametrize("role", ROLES)
def test_every_role_has_at_most_five_first_doors_and_may_open_them(role: str) -> None:
    shown = head_doors(frozenset({role}), None)
    assert 0 < len(shown) <= DOORS_SHOWN_MAX
    assert all(role in door.roles for door in shown)
    assert {door.url_name for door in DOORS if role in door.roles} >= set(FIRST_DOORS[role])


def test_the_open_door_is_always_shown() -> None:
    for door in contents(EVERYBODY):
        shown = head_doors(EVERYBODY, door)
        assert door in shown
        assert len(shown) <= DOORS_SHOWN_MAX


def test_a_door_that_leads_nowhere_is_left_out() -> None:
    assert "season" not in {door.url_name for door in contents(EVERYBODY)}
    assert len(contents(EVERYBODY)) == len(DOORS) - 1


@pytest.mark.parametrize(("view_name", "door"), [
    ("milling", "milling"), ("milling-tub", "milling"), ("lot", "lot-book"), ("lot-book", "lot-book"),
    ("lot-book-print", "lot-book"), ("lots", "lots"), ("sign-in", None), ("", None),
])
def test_a_page_knows_its_door(view_name: str, door: str | None) -> None:
    found = current_door(view_name)
    assert (found.url_name if found else None) == door


def test_doors_have_words_in_both_languages() -> None:
    assert len({str(door.english) for door in DOORS}) == len({door.japanese for door in DOORS}) == len(DOORS)
    with translation.override("ja"):
        assert DOORS[0].title("ja") == "今日"
    assert DOORS[0].title("en") == "Today"


def test_strangers_have_no_doors() -> None:
    assert roles_of(None) == roles_of(AnonymousUser()) == frozenset()
    assert head_doors(frozenset(), None) == contents(frozenset()) == ()


@pytest.mark.django_db
def test_roles_are_groups_and_a_superuser_has_all() -> None:
    assert roles_of(factories.hand("quality")) == {"quality"}
    assert roles_of(SimpleNamespace(is_authenticated=True, is_superuser=True)) == EVERYBODY


def test_the_desk_knows_the_roles_that_accounts_have() -> None:
    assert set(ROLES) == set(ROLES_OF_ACCOUNTS)
