"""Accounts that end by themselves: made for an auditor, refused afterwards at the door and on every page, ended at once."""

from __future__ import annotations

import datetime as dt
import io

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from lots.desk.access import PAGES, may
from lots.models import AccountEnd
from tests.desk.conftest import Hands, entries, page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
PASSWORD = "a-long-winter-night"
#: Pages that every auditor may open, whatever else they may.
READ = ("/office/", "/office/balance/", "/balance/", "/lots/", "/trace/", "/registers/", "/office/accounts/")


@pytest.fixture
def keeper(hands: Hands) -> Client:
    return hands("administrator")


def account(keeper: Client, last_on: dt.date | str = "", **other: str) -> str:
    """Open one through the page and return what it says."""
    fields = {"login": "visitor", "password": PASSWORD, "last_on": str(last_on or timezone.localdate()), **other}
    return page(keeper.post("/office/accounts/open/", fields, follow=True))


def signed_in() -> Client:
    client = Client()
    assert client.post("/sign-in/", {"username": "visitor", "password": PASSWORD}).status_code == 302
    return client


def over() -> None:
    AccountEnd.objects.update(ends_at=timezone.now() - dt.timedelta(minutes=1))


def test_an_auditor_reads_everything_and_writes_nothing(keeper: Client) -> None:
    before = entries()
    said = account(keeper)
    assert "The account visitor is open until the end of" in said
    assert "the auditor" in said
    client = signed_in()
    assert {url: client.get(url).status_code for url in READ} == dict.fromkeys(READ, 200)
    assert client.post("/office/accounts/open/", {}).status_code == client.post("/leaf-in/", {}).status_code == 403
    assert "An account for an auditor" not in page(client.get("/office/accounts/"))
    assert entries() == before


def test_after_its_end_every_page_says_so_and_the_door_too(keeper: Client) -> None:
    account(keeper)
    client = signed_in()
    over()
    answer = client.get("/office/balance/")
    assert answer.status_code == 403
    assert "The account visitor ended on" in page(answer)
    assert client.get("/lots/").status_code == 302, "signed out by the first refusal"
    again = page(Client().post("/sign-in/", {"username": "visitor", "password": PASSWORD}))
    assert "The account visitor ended on" in again
    assert "another one" in again
    user = User.objects.get(username="visitor")
    assert [name for name in PAGES if may(user, name) and name not in {"sign-in", "sign-out", "lamp"}] == []


def test_its_last_day_is_a_whole_day_at_the_mill(keeper: Client) -> None:
    account(keeper)
    ends = timezone.localtime(AccountEnd.objects.get().ends_at)
    assert (ends.date(), ends.time()) == (timezone.localdate() + dt.timedelta(days=1), dt.time(0))


def test_it_is_ended_at_once(keeper: Client) -> None:
    account(keeper, timezone.localdate() + dt.timedelta(days=20))
    client = signed_in()
    said = page(keeper.post("/office/accounts/end/", {"login": "visitor"}, follow=True))
    assert "The account visitor has ended." in said
    assert "ended" in said
    assert client.get("/lots/").status_code == 403
    first = AccountEnd.objects.get().ends_at
    keeper.post("/office/accounts/end/", {"login": "visitor"})
    assert AccountEnd.objects.get().ends_at == first


def test_nobody_ends_the_account_that_is_signed_in(keeper: Client) -> None:
    said = page(keeper.post("/office/accounts/end/", {"login": "kei"}, follow=True))
    assert "You are signed in as kei" in said
    assert "There is no account nobody." in page(keeper.post("/office/accounts/end/", {"login": "nobody"}, follow=True))
    assert not AccountEnd.objects.exists()


@pytest.mark.parametrize(("other", "sentence"), [
    ({"last_on": "2020-01-01"}, "2020-01-01 has passed"), ({"last_on": "soon"}, "is not a day"), ({"password": "short"}, "too short"),
    ({"login": "a b"}, "letters, digits"), ({"login": "kei"}, "There is an account kei already."),
])
def test_what_cannot_be_made_is_said_at_its_field(keeper: Client, other: dict[str, str], sentence: str) -> None:
    assert sentence in account(keeper, **other)
    assert not AccountEnd.objects.exists()
    assert not User.objects.filter(username="visitor").exists()


def test_the_command_makes_one_too(mill: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("getpass.getpass", lambda _words: PASSWORD)
    out = io.StringIO()
    call_command("account", "visitor", role=["auditor"], until=timezone.localdate(), stdout=out)
    assert AccountEnd.objects.get().user.username == "visitor"
    with pytest.raises(CommandError, match="has passed"):
        call_command("account", "later", role=["auditor"], until=dt.date(2020, 1, 1), stdout=out)
