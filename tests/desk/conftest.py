"""What the stories of the desk share: a small mill, hands that are signed in, and a look at the whole book afterwards."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from lots.models import JournalHead
from lots.read.verifying import verify_book
from tests import factories

Hands = Callable[..., Client]


@pytest.fixture
def mill(db: None) -> None:
    """An empty house with its registers."""
    factories.found_small_mill()


@pytest.fixture
def hands(mill: None) -> Hands:
    """``hands("packing")``: a browser in which the packing hand is signed in."""

    def signed_in(role: str = "clerk") -> Client:
        client = Client()
        client.force_login(factories.hand(role), backend="django.contrib.auth.backends.ModelBackend")
        return client

    return signed_in


@pytest.fixture
def clerk(hands: Hands) -> Client:
    return hands("clerk")


@pytest.fixture
def book_holds() -> Iterator[None]:
    """After the story every row, the chain, the tree and all that is derived agree with the journal."""
    yield
    assert verify_book() == []


def entries() -> int:
    """How many entries the journal has."""
    return JournalHead.objects.get().size


def typed(**fields: Any) -> dict[str, Any]:
    """A form as a browser sends it: with the id of its act, and with now for the moment if nothing else is said."""
    now = {"happened_at": "now", "happened_at_anchor": timezone.localtime().isoformat(timespec="seconds")}
    return {"act_id": str(uuid.uuid4()), **now, **fields}


def page(answer: HttpResponse) -> str:
    """The text of a page, as eyes read it."""
    body = re.sub(r"(?s)<(style|script|template|header|footer).*?</\1>", " ", answer.content.decode())
    return " ".join(re.sub(r"<[^>]+>", " ", body).replace("\u00a0", " ").split())


def written(client: Client, url: str, fields: dict[str, Any]) -> str:
    """Send a form that must be taken; return what the next page says at its head."""
    before = entries()
    answer = client.post(url, fields)
    assert answer.status_code == 303, page(answer)
    assert entries() == before + 1
    return page(client.get(answer.url))


def refused(client: Client, url: str, fields: dict[str, Any]) -> str:
    """Send a form that must not be taken; nothing is written, and what was typed is still there."""
    before = entries()
    answer = client.post(url, fields)
    assert answer.status_code == 200
    assert entries() == before
    return page(answer)


def asked(answer: HttpResponse) -> dict[str, str]:
    """The hidden answers of a page that asks: the act's id and which content the question is about."""
    html = answer.content.decode()
    return dict(re.findall(r'<input type="hidden" name="(act_\w+)" value="([^"]+)">', html))


class Lost(Exception):
    """The line went dead."""


def sent_twice(client: Client, url: str, fields: dict[str, Any]) -> str:
    """Send a form whose first answer is lost, and send it again: one entry, and the page says so."""
    before = entries()
    client.post(url, fields)
    assert entries() == before + 1
    answer = client.post(url, fields)
    assert answer.status_code == 303, page(answer)
    assert entries() == before + 1
    return page(client.get(answer.url))


def broken_off(client: Client, url: str, fields: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """Send a form while the disk fails in the middle of writing: nothing of it is in the book."""
    from lots.record import writing

    def fails(*_: Any) -> None:
        raise Lost

    before = entries()
    with monkeypatch.context() as patched:
        patched.setattr(writing.Writing, "finish", fails)
        with pytest.raises(Lost), transaction.atomic():
            client.post(url, fields)
    assert entries() == before
