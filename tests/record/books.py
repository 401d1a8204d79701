"""A book of its own in a file, as a mill keeps it, or on the test server: for tests in which several hands write at once."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Barrier, Thread
from typing import Any

from django.db import connection, connections


def lay_file(path: Path) -> Path:
    """An empty book in a file: the tables and locks of the test database."""
    connection.ensure_connection()
    with closing(sqlite3.connect(path)) as file:
        connection.connection.backup(file)
        file.execute("PRAGMA journal_mode=WAL")
    return path


def open_file(path: Path) -> None:
    """From here on this thread works on the book of a file."""
    wrapper = connections.create_connection("default")
    wrapper.settings_dict = {**wrapper.settings_dict, "NAME": str(path)}
    connections["default"] = wrapper


@contextmanager
def book_in(path: Path) -> Iterator[Path]:
    """Work on the book of a file inside the block, and on the test database again after it."""
    kept = connections["default"]
    open_file(path)
    try:
        yield path
    finally:
        connections["default"].close()
        connections["default"] = kept


def at_once(hands: Sequence[Callable[[], Any]], path: Path | None) -> list[Any]:
    """Let each hand do its work in a thread of its own, all beginning together; what each got, or what it was told."""
    together, answers = Barrier(len(hands)), [None] * len(hands)

    def work(place: int) -> None:
        if path is not None:
            open_file(path)
        connection.ensure_connection()
        together.wait(timeout=20)
        try:
            answers[place] = hands[place]()
        except Exception as told:  # noqa: BLE001  # whatever a hand is told is its answer
            answers[place] = told
        finally:
            connections["default"].close()

    threads = [Thread(target=work, args=(place,)) for place in range(len(hands))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in threads)
    return answers
