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


@pytest.fixture(scope="package")
def demo_book(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    fixtures = Path(settings.BASE_DIR) / "fixtures"
    with django_db_blocker.unblock(), transaction.atomic():
        assert load_demo(fixtures / "demo_season.json", fixtures / "demo_desk.json")
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(demo_book: None, django_db_blocker: Any) -> Iterator[None]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


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
