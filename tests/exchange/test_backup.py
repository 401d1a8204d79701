"""The online copy of the book: made while people write, checked, put back, and refused where it would lose something."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ON_SQLITE = "postgres" not in os.environ.get("DATABASE_URL", "")


class Desk:
    """A book of its own, driven by commands as an administrator does."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.environment = {
            **os.environ, "DATABASE_URL": f"sqlite:///{folder / 'book.sqlite3'}", "LEDGER_SECRET_KEY": "a key for the tests of the copy, long enough",
            "LEDGER_ALLOWED_HOSTS": "localhost", "DJANGO_SETTINGS_MODULE": "ledger.settings",
        }

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, str(ROOT / "manage.py"), *words]
        return subprocess.run(command, env=self.environment, capture_output=True, text=True, check=False, cwd=ROOT)

    def write(self, count: int) -> subprocess.CompletedProcess[str]:
        code = (
            "from lots.record.acts import Act\nfrom lots.record.registers import enter, found_house\nfrom lots.models import House\n"
            "House.objects.exists() or found_house(Act('A'), house={'name': 'Mill'}, badge='A', name='Kei')\n"
            f"for i in range({count}): enter(Act('A'), table='party', code='P%d' % i, fields={{'name': 'Buyer', 'roles': 'consignee'}})\n"
        )
        return self.run("shell", "--no-imports", "-c", code)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    made = Desk(tmp_path)
    done = made.run("migrate", "--verbosity", "0")
    assert done.returncode == 0, done.stderr
    return made


def test_a_copy_is_made_while_somebody_writes_and_put_back(desk: Desk) -> None:
    assert desk.write(5).returncode == 0
    writer = threading.Thread(target=desk.write, args=(60,))
    writer.start()
    copy = desk.folder / "copies" / "one.sqlite3"
    made = desk.run("backup", str(copy))
    writer.join()
    assert made.returncode == 0, made.stderr
    facts = json.loads(copy.with_name("one.sqlite3.json").read_text())
    assert facts["size"] >= 6
    longer = desk.run("backup", "--restore", str(copy))
    if facts["size"] < 66:
        assert longer.returncode == 1
        assert "would be lost" in longer.stderr
    back = desk.run("backup", "--restore", "--over", str(copy))
    assert back.returncode == 0, back.stderr
    assert f"{facts['size']} entries" in back.stdout
    assert desk.run("verify", "--verbosity", "0").returncode == 0


def test_a_copy_goes_back_into_an_empty_book(desk: Desk, tmp_path_factory: pytest.TempPathFactory) -> None:
    assert desk.write(3).returncode == 0
    copy = desk.folder / "one.sqlite3"
    assert desk.run("backup", str(copy)).returncode == 0
    other = Desk(tmp_path_factory.mktemp("other"))
    assert other.run("migrate", "--verbosity", "0").returncode == 0
    back = other.run("backup", "--restore", str(copy))
    assert back.returncode == 0, back.stderr
    assert other.run("verify", "--verbosity", "0").returncode == 0
    assert other.run("check", "--database", "default").returncode == 0


def test_what_may_not_be_copied_or_put_back_is_refused_in_a_sentence(desk: Desk) -> None:
    copy = desk.folder / "one.sqlite3"
    empty = desk.run("backup", str(copy))
    assert (empty.returncode, "nothing to copy" in empty.stderr) == (1, True)
    assert desk.write(2).returncode == 0
    assert desk.run("backup", str(copy)).returncode == 0
    again = desk.run("backup", str(copy))
    assert (again.returncode, "never written over" in again.stderr) == (1, True)
    with copy.open("r+b") as file:
        file.seek(4096)
        file.write(b"\x01")
    bent = desk.run("backup", "--restore", str(copy))
    assert (bent.returncode, "changed since it was made" in bent.stderr) == (1, True)
    gone = desk.run("backup", "--restore", str(desk.folder / "nowhere.sqlite3"))
    assert (gone.returncode, "is not there" in gone.stderr) == (1, True)


def test_a_book_that_differs_from_its_journal_gives_no_copy(desk: Desk) -> None:
    assert desk.write(2).returncode == 0
    with sqlite3.connect(desk.folder / "book.sqlite3") as book:
        book.execute("DROP TRIGGER party_no_update")
        book.execute("UPDATE party SET roles = 'grower' WHERE code = 'P0'")
        book.commit()
    bent = desk.run("backup", str(desk.folder / "one.sqlite3"))
    assert bent.returncode == 1
    assert "does not agree with its journal" in bent.stderr
    assert not (desk.folder / "one.sqlite3").exists()


@pytest.mark.django_db(transaction=True)
def test_the_engine_of_the_tests_makes_its_own_copy(tmp_path: Path) -> None:
    """On PostgreSQL with its own program; on SQLite the copy of the tests' book is checked like any other."""
    from lots.exchange.backup import back_up, program
    from lots.models import JournalHead
    from tests import factories as make

    make.found_small_mill()
    if ON_SQLITE:
        assert shutil.which("pg_dump") is None or program("pg_dump").endswith("pg_dump")
    facts = back_up(tmp_path / "copy")
    assert facts["size"] == JournalHead.objects.get().size
    assert facts["engine"] == ("sqlite" if ON_SQLITE else "postgresql")
    assert (tmp_path / "copy").stat().st_size > 10_000
