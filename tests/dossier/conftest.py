"""The demo book, loaded once for all tests of the papers; what a test writes into it is taken back after it."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client
from pypdf import PdfReader

from lots.exchange.demo import load_demo


class DemoBook:
    """The demo book in an open transaction: loaded for the first test here that wants it, gone after the last in a row."""

    def __init__(self) -> None:
        self.transaction: Any = None
        self.blocker: Any = None

    def open(self, blocker: Any) -> None:
        if self.transaction is not None:
            return
        fixtures = Path(settings.BASE_DIR) / "fixtures"
        with blocker.unblock():
            self.blocker, self.transaction = blocker, transaction.atomic()
            self.transaction.__enter__()
            assert load_demo(fixtures / "demo_season.json", fixtures / "demo_desk.json")

    def close(self) -> None:
        if self.transaction is not None:
            with self.blocker.unblock():
                transaction.set_rollback(True)
                self.transaction.__exit__(None, None, None)
            self.transaction = None


BOOK = DemoBook()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
    try:
        yield
    finally:
        if nextitem is None or not nextitem.path.is_relative_to(Path(__file__).parent):
            BOOK.close()


@pytest.fixture(scope="module")
def demo_book(django_db_setup: None, django_db_blocker: Any) -> None:
    BOOK.open(django_db_blocker)


@pytest.fixture
def demo(demo_book: None, db: None) -> None:
    """The demo book; what a test writes into it is taken back after it."""


@pytest.fixture
def at_desk(demo: None) -> Callable[[str], Client]:
    """A browser at which a person with a role is signed in."""
    from tests.factories import hand

    def signed_in(role: str) -> Client:
        client = Client()
        client.force_login(hand(role), backend="django.contrib.auth.backends.ModelBackend")
        return client

    return signed_in


def words_of(pdf: bytes) -> str:
    """The text of a PDF with its blanks made single."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).replace("\u00a0", " ").split())


@pytest.fixture
def read_pdf() -> Callable[[bytes], str]:
    return words_of
