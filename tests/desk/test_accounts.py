"""Coming in, going out, and the throttle at the door."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from tests import factories
from tests.desk.conftest import page

pytestmark = pytest.mark.django_db
PASSWORD = "stone pairs turn slowly"


@pytest.fixture
def hana(mill: None) -> User:
    user = factories.hand("clerk")
    user.set_password(PASSWORD)
    user.save()
    return user


def test_in_and_on_to_the_page_that_was_wanted(hana: User) -> None:
    client = Client()
    answer = client.post("/sign-in/?next=/stones/", {"username": "hana", "password": PASSWORD, "next": "/stones/"})
    assert (answer.status_code, answer.url) == (302, "/stones/")
    assert client.get("/stones/").status_code == 200


def test_a_way_to_another_house_is_not_taken(hana: User) -> None:
    answer = Client().post("/sign-in/", {"username": "hana", "password": PASSWORD, "next": "https://elsewhere.example/"})
    assert answer.url == "/"


def test_wrong_and_empty_are_answered_in_our_own_words(hana: User) -> None:
    wrong = page(Client().post("/sign-in/", {"username": "hana", "password": "x"}))
    assert "Name and password do not belong together." in wrong
    assert "lease" not in wrong
    assert "Type your name." in page(Client().post("/sign-in/", {}))


def test_out_by_a_press_only(hana: User) -> None:
    client = Client()
    client.force_login(hana, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").status_code == 302
    assert client.get("/stones/").status_code == 302


def test_who_is_in_already_goes_on(hana: User) -> None:
    client = Client()
    client.force_login(hana, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/sign-in/").status_code == 302


def test_five_wrong_passwords_and_a_rest(hana: User, settings: Any) -> None:
    settings.AXES_ENABLED = True
    client = Client()
    answers = [client.post("/sign-in/", {"username": "hana", "password": f"guess {n}"}) for n in range(6)]
    assert answers[-1].status_code == 429
    assert "Rest a quarter of an hour" in page(answers[-1])
    assert client.post("/sign-in/", {"username": "hana", "password": PASSWORD}).status_code == 429


def test_pages_behind_the_door_leave_no_copy(hana: User) -> None:
    client = Client()
    client.force_login(hana, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/stones/")["Cache-Control"] == "private, no-store"
