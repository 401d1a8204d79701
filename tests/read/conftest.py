"""The demo season alone (no consignments, nothing in the mill), loaded once for each class of tests that wants it, and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction

from lots.exchange.season import load

HOUSE = {"name": "Season mill", "invented": True}


@pytest.fixture(scope="class")
def season_book(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    with django_db_blocker.unblock(), transaction.atomic():
        assert load(Path(settings.BASE_DIR) / "fixtures" / "demo_season.json", HOUSE, "Night valley") > 600
        yield
        transaction.set_rollback(True)


@pytest.fixture
def season(season_book: None, db: None) -> None:
    """The season's book; what a test writes into it is taken back after it."""
