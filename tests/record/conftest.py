"""One small mill for all tests of a file; each test has it to itself and leaves it as it was (a savepoint)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import transaction

from tests import factories as make


@pytest.fixture(scope="module")
def founded(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[None]:
    """The small mill of the factories, founded once a file inside a transaction that is never committed."""
    with django_db_blocker.unblock(), transaction.atomic():
        make.found_small_mill()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def mill(founded: None, db: None) -> None:
    """The founded mill, inside the test's own savepoint."""
