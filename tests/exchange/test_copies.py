"""A copy in the hand: what may be put back over what, and what a copy says of itself. On the engine of the tests."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections

from lots.exchange import backup
from lots.exchange.backup import BackupFault, back_up, facts_of, restore
from lots.models import Cultivar, JournalHead, locks
from lots.read.verifying import verify_book
from lots.record.acts import Act
from lots.record.registers import enter, found_house
from tests.record.books import book_in, lay_file, open_file

pytestmark = pytest.mark.django_db(transaction=True)
ON_SQLITE = connection.vendor == "sqlite"


@pytest.fixture
def path(tmp_path: Path, transactional_db: None) -> Iterator[Path | None]:
    """An empty book: in a file, or on the test server (then there is no path)."""
    if not ON_SQLITE:
        yield None
        return
    with book_in(lay_file(tmp_path / "book.sqlite3")) as file:
        yield file


@pytest.fixture
def copy(path: Path | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a book of four entries, which has grown to six since. Checking a copy in a process of its own takes seconds:
    here it is left to the tests that are about it."""
    with monkeypatch.context() as quickly:
        quickly.setattr(backup, "verify_file", lambda _: None)
        found()
        write("A", "B", "C")
        back_up(tmp_path / "copy")
        write("D", "E")
    return tmp_path / "copy"


def found() -> None:
    found_house(Act("F"), house={"name": "Mill"}, badge="F", name="Kei Mori")


def write(*names: str) -> None:
    for name in names:
        enter(Act("F"), table="cultivar", code=name, fields={"name": name})


def names() -> set[str]:
    return set(Cultivar.objects.values_list("code", flat=True))


def empty_the_book() -> None:
    """As on a new machine: tables and locks, no entries."""
    from lots.models import BOOK, DERIVED, ActKey, PackSecret, PrivateValue

    with locks.suspended(connection):
        for model in (*reversed((*BOOK, *DERIVED)), ActKey, PrivateValue, PackSecret, JournalHead):
            model._default_manager.all().delete()


def test_a_longer_book_is_kept_until_somebody_says_over(copy: Path) -> None:
    with pytest.raises(BackupFault, match=r"The book has 6 entries, the copy 4\. 2 would be lost"):
        restore(copy)
    assert names() == {"A", "B", "C", "D", "E"}
    facts = restore(copy, over=True)
    assert (facts["size"], names()) == (4, {"A", "B", "C"})
    assert verify_book() == []
    assert locks.missing(connection) == []


def test_a_copy_goes_into_an_empty_book_and_writing_goes_on(copy: Path) -> None:
    empty_the_book()
    assert restore(copy)["size"] == 4
    write("F")
    assert names() == {"A", "B", "C", "F"}
    assert verify_book() == []


def test_a_copy_goes_over_the_beginning_of_the_same_book(copy: Path, tmp_path: Path) -> None:
    longer = tmp_path / "longer"
    back_up(longer)
    restore(copy, over=True)
    assert restore(longer)["size"] == 6
    assert names() == {"A", "B", "C", "D", "E"}
    assert verify_book() == []


@pytest.mark.parametrize("count", [1, 3])
def test_another_book_is_kept_however_short_it_is(copy: Path, count: int) -> None:
    empty_the_book()
    found()
    write(*[f"other {n}" for n in range(count)])
    with pytest.raises(BackupFault, match=f"This book is not the one that was copied: its {count + 1} entries would be lost"):
        restore(copy)
    assert names() == {f"other {n}" for n in range(count)}
    restore(copy, over=True)
    assert names() == {"A", "B", "C"}


def test_one_byte_more_or_less_is_refused(copy: Path) -> None:
    whole = copy.read_bytes()
    for bent in (whole[:-1], whole + b"\x00", whole[:100] + bytes([whole[100] ^ 1]) + whole[101:]):
        copy.write_bytes(bent)
        with pytest.raises(BackupFault, match="changed since it was made"):
            restore(copy, over=True)
    assert names() == {"A", "B", "C", "D", "E"}


@pytest.mark.parametrize(("text", "match"), [
    ("", "cannot be read"), ("{", "cannot be read"), ("[]", "cannot be read"), ('{"size": 4}', "cannot be read"), (None, "is not there"),
])
def test_facts_that_say_nothing_are_refused(copy: Path, text: str | None, match: str) -> None:
    if text is None:
        facts_of(copy).unlink()
    else:
        facts_of(copy).write_text(text)
    with pytest.raises(BackupFault, match=match):
        restore(copy, over=True)


def changed(copy: Path, **facts: Any) -> None:
    told = json.loads(facts_of(copy).read_text())
    facts_of(copy).write_text(json.dumps(told | facts))


def test_a_copy_from_another_engine_is_refused(copy: Path) -> None:
    changed(copy, engine="postgresql" if ON_SQLITE else "sqlite")
    with pytest.raises(BackupFault, match="is a copy from"):
        restore(copy, over=True)


def test_a_copy_that_is_not_what_its_facts_say_is_told_after_it_was_put_back(copy: Path) -> None:
    changed(copy, root="00" * 32)
    with pytest.raises(BackupFault, match="is not what the facts of the copy say"):
        restore(copy, over=True)


def test_an_empty_book_gives_no_copy_and_leaves_no_file(path: Path | None, tmp_path: Path) -> None:
    with pytest.raises(BackupFault, match="nothing to copy yet"):
        back_up(tmp_path / "folder" / "copy")
    with pytest.raises(CommandError, match="nothing to copy yet"):
        call_command("backup", str(tmp_path / "copy"))
    assert [file for file in tmp_path.rglob("*copy*") if file.is_file()] == []


def test_a_copy_that_fails_leaves_nothing_beside(copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object = None) -> list[str]:
        raise BackupFault("The copy does not agree with its journal")

    monkeypatch.setattr(backup, "verify_file" if ON_SQLITE else "verify_book", broken)
    with pytest.raises(BackupFault, match="does not agree"):
        back_up(tmp_path / "second")
    assert [file.name for file in tmp_path.glob("second*")] == []


def test_the_commands_copy_and_put_back(copy: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backup", str(tmp_path / "again"))
    assert "Copied and checked: 6 entries" in capsys.readouterr().out
    call_command("backup", str(copy), "--restore", "--over")
    assert "Put back and checked: 4 entries" in capsys.readouterr().out
    with pytest.raises(CommandError, match="is not there"):
        call_command("backup", str(tmp_path / "nowhere"), "--restore")


def test_a_copy_made_while_others_write_is_one_moment_of_the_book(path: Path | None, tmp_path: Path) -> None:
    found()
    stop, count = threading.Event(), [0]

    def keep_writing() -> None:
        if path is not None:
            open_file(path)
        while not stop.is_set():
            write(f"C{count[0]}")
            count[0] += 1
        connections["default"].close()

    writer = threading.Thread(target=keep_writing)
    writer.start()
    try:
        facts = [back_up(tmp_path / f"copy {n}") for n in range(2)]
    finally:
        stop.set()
        writer.join(timeout=30)
    sizes = [each["size"] for each in facts]
    assert sizes == sorted(sizes)
    assert sizes[-1] > sizes[0]
    for n, size in enumerate(sizes):
        restore(tmp_path / f"copy {n}", over=True)
        assert JournalHead.objects.get().size == size
        assert verify_book() == []


def test_the_engine_s_own_programs_are_named_when_they_are_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(BackupFault, match=r"pg_dump is not installed\. It comes with PostgreSQL's client programs"):
        backup.program("pg_dump")


def test_what_an_engine_s_program_answers_is_passed_on() -> None:
    with pytest.raises(BackupFault, match="python3 answered: no such snapshot"):
        backup.run(["python3", "-c", "import sys; sys.exit('no such snapshot')"])
