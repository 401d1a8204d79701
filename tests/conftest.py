"""What all tests share: the book's locks lifted for the clean-up between tests, one language at the start of each, repeatable examples."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from django.db import connections
from django.test import TransactionTestCase
from django.utils import translation
from hypothesis import HealthCheck
from hypothesis import settings as examples
from hypothesis.configuration import set_hypothesis_home_dir

_clean_up = TransactionTestCase._fixture_teardown

set_hypothesis_home_dir("var/hypothesis")
examples.register_profile(
    "ledger",
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
examples.load_profile("ledger")


def _clean_up_without_locks(case: Any) -> None:
    """Empties the tables after a test that committed; nothing else in the project may remove a row of the book."""
    from lots.models import locks

    with ExitStack() as lifted:
        for alias in case._databases_names(include_mirrors=False):
            lifted.enter_context(locks.suspended(connections[alias]))
        _clean_up(case)


# pytest-django's committing tests and its live server clean up through this class too.
TransactionTestCase._fixture_teardown = _clean_up_without_locks


@pytest.fixture(autouse=True)
def _in_english() -> Iterator[None]:
    """A page that one test asked for in Japanese leaves the thread in Japanese; the next test begins in English all the same."""
    with translation.override("en"):
        yield
