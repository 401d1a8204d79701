"""The power goes in the middle of an act: before its first statement, its second, and so on."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from lots.record import deriving, packing, writing


class LightsOut(Exception):
    """The power went."""


class Writes:
    """Stands in for the one way into a table: counts what is written, and breaks off before the n-th statement."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.count, self.last = 0, -1
        for module in (writing, deriving, packing):
            for name in ("insert", "change"):
                if hasattr(module, name):
                    monkeypatch.setattr(module, name, self.through(getattr(module, name)))

    def through(self, write: Callable[..., None]) -> Callable[..., None]:
        def counted(*args: object) -> None:
            if not args[-1]:
                return  # no rows, no statement
            self.count += 1
            if self.count == self.last:
                raise LightsOut
            write(*args)

        return counted

    def break_off(self, before: int) -> None:
        self.count, self.last = 0, before
