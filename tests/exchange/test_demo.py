"""The demo: one command loads it, opens its accounts and says where to look; again, it keeps the book."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.utils import timezone

from lots.management.commands.demo import ACCOUNTS, PASSWORD
from lots.models import Consignment, Hold, JournalEntry, JournalHead, PackedUnit, Shading, Staff, Step
from lots.read.milling import open_run
from lots.read.persons import badge_of
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record.accounts import ROLES


def run_demo() -> str:
    told = io.StringIO()
    call_command("demo", "--port", "8123", stdout=told, verbosity=0)
    return told.getvalue()


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[str]:
    """The demo, loaded once for this file in a transaction that is never committed; what it printed."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield run_demo()
        transaction.set_rollback(True)


@pytest.fixture
def told(loaded: str, db: None) -> str:
    return loaded


def test_it_says_where_to_look(told: str) -> None:
    assert "The demo season is loaded." in told
    assert "http://127.0.0.1:8123/" in told
    assert f"clerk, packing, quality, recall-lead, auditor, administrator; password of each: {PASSWORD}" in told
    assert "http://127.0.0.1:8123/lot/R26-SG1/" in told
    assert re.search(r"http://127\.0\.0\.1:8123/p/[0-9A-Z]{20} ", told)


def test_the_book_is_whole_and_has_what_a_desk_records_besides_a_season(told: str) -> None:
    assert verify_book() == []
    assert (Shading.objects.count(), Consignment.objects.count(), Hold.objects.count()) == (12, 3, 1)
    assert {pair: open_run(pair).job for pair in ("SP1", "SP2")} == {"SP1": "J26-07", "SP2": "J26-07"}
    assert open_run("SP3") is None
    assert Step.objects.latest("happened_at").happened_at <= timezone.now()


def test_what_went_out_is_what_the_season_tells(told: str) -> None:
    """On hand of K26-06 afterwards: 48 tins and 9 bags (the season's own sum)."""
    units = PackedUnit.objects.filter(lot__maker_ref="K26-06", retained=False).order_by("pk")
    assert [(u.pack_count, series_state(u).here_count) for u in units] == [(948, 48), (109, 9)]


def test_it_runs_again_and_keeps_the_book(told: str) -> None:
    size, users, badges = JournalHead.objects.get().size, User.objects.count(), Staff.objects.count()
    assert "The book is kept as it was." in run_demo()
    assert (JournalHead.objects.get().size, User.objects.count(), Staff.objects.count()) == (size, users, badges)
    assert JournalEntry.objects.count() == size


def test_an_account_that_was_closed_comes_back_alone(told: str) -> None:
    User.objects.get(username="clerk").delete()
    run_demo()
    assert User.objects.count() == len(ROLES)
    assert badge_of("clerk") == "D"
    assert verify_book() == []


@pytest.mark.parametrize(("role", "badge"), ACCOUNTS)
def test_every_role_has_one_account_that_signs_in_and_a_badge_if_it_writes(told: str, client: Client, role: str, badge: str) -> None:
    login = role.replace("_", "-")
    user = User.objects.get(username=login)
    assert [group.name for group in user.groups.all()] == [role]
    assert client.login(username=login, password=PASSWORD)
    assert badge_of(login) == badge


def test_the_printed_pack_opens_for_anybody_with_the_right_fields(told: str, client: Client) -> None:
    found = re.search(r"http://127\.0\.0\.1:8123(/p/\S+)", told)
    assert found is not None
    page = client.get(found.group(1), headers={"accept-language": "en"})
    text = page.content.decode()
    assert page.status_code == 200
    for words in ("Okuyutaka", "Long Mist", "Yorukaze", "Kawasemi household", "2026-05-15", "2026-07-21", "2027-01-20", "23 days", "30 g"):
        assert words in text, words
    assert client.get("/p/" + "0" * 20).status_code == 404


def test_the_lot_to_look_at_opens_for_a_clerk(told: str, client: Client) -> None:
    client.login(username="clerk", password=PASSWORD)
    page = client.get("/lot/R26-SG1/")
    assert page.status_code == 200
    assert "R26-SG1" in page.content.decode()
