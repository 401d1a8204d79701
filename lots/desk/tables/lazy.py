"""A table over a list that the database orders and cuts: only the page that is shown is read."""

from __future__ import annotations

from typing import Any

from django_tables2.data import TableQuerysetData


class ReadRows(TableQuerysetData):
    """Rows of `read` that can be counted, ordered and cut, and are frozen records when they come."""

    @property
    def ordering(self) -> Any:
        """Return nothing: the order is the one that was asked for."""
        return None

    @property
    def model(self) -> Any:
        """Return nothing: the rows are records, not models."""
        return None
