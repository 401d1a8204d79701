"""An online copy of the book, and the way back. A copy counts only when it was opened and checked."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections

from lots.journal.tree import Frontier
from lots.models import JournalHead


class BackupFault(Exception):
    """A copy that was not made, or that may not be put back; the text is a sentence."""


def tree_words() -> dict[str, Any]:
    """Return the size and the root of the journal's tree as they stand."""
    head = JournalHead.objects.filter(pk=1).first()
    if head is None or not head.size:
        raise BackupFault("The book is empty: there is nothing to copy yet")
    root = Frontier.from_bytes(bytes(head.frontier)).root()
    return {"size": head.size, "root": root.hex()}


def back_up(target: Path) -> dict[str, Any]:
    """Copy the book to a file while people go on working, check the copy, and write its facts beside it (``.json``)."""
    if target.exists():
        raise BackupFault(f"{target} is there already. Choose another name: a copy is never written over")
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    facts = copy_sqlite(part) if connection.vendor == "sqlite" else copy_postgres(part)
    facts["sha256"] = digest(part)
    part.rename(target)
    facts_of(target).write_text(json.dumps(facts, indent=1) + "\n", encoding="utf-8")
    return facts


def facts_of(target: Path) -> Path:
    """Return where the facts of a copy stand."""
    return target.with_name(target.name + ".json")


def digest(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def copy_sqlite(target: Path) -> dict[str, Any]:
    """Copy with the engine's own online copy, check the copy's pages and pointers, then the whole book inside it."""
    connection.ensure_connection()
    with closing(sqlite3.connect(target)) as copy:
        connection.connection.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
        refuse_broken(copy)
        size, frontier = copy.execute("SELECT size, frontier FROM journal_head").fetchone() or (0, b"")
    if not size:
        target.unlink()
        raise BackupFault("The book is empty: there is nothing to copy yet")
    verify_file(target)
    return {"engine": "sqlite", "size": size, "root": Frontier.from_bytes(frontier).root().hex()}


def refuse_broken(copy: sqlite3.Connection) -> None:
    """Refuse a file whose pages or pointers are broken."""
    pages = copy.execute("PRAGMA integrity_check").fetchall()
    pointers = copy.execute("PRAGMA foreign_key_check").fetchall()
    if pages != [("ok",)] or pointers:
        raise BackupFault(f"The copy is broken: {pages[0][0]}, {len(pointers)} pointers lead nowhere")


def verify_file(path: Path) -> None:
    """Run the whole-ledger check on a SQLite file in a process of its own."""
    environment = {**os.environ, "DATABASE_URL": f"sqlite:///{path.resolve()}", "DJANGO_SETTINGS_MODULE": "ledger.settings"}
    environment.setdefault("LEDGER_SECRET_KEY", settings.SECRET_KEY)
    environment.setdefault("LEDGER_ALLOWED_HOSTS", "localhost")
    done = subprocess.run(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), "verify"], env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise BackupFault(f"The copy does not agree with its journal:\n{done.stdout}{done.stderr}")


def postgres_environment() -> dict[str, str]:
    """Return the environment that PostgreSQL's own programs read."""
    s = connection.settings_dict
    names = {"PGHOST": s["HOST"], "PGPORT": str(s["PORT"]), "PGUSER": s["USER"], "PGPASSWORD": s["PASSWORD"], "PGDATABASE": s["NAME"]}
    return {**os.environ, **{k: v for k, v in names.items() if v}}


def program(name: str) -> str:
    """Return PostgreSQL's own program, or refuse with the name of what is missing."""
    found = shutil.which(name)
    if found is None:
        raise BackupFault(f"{name} is not installed. It comes with PostgreSQL's client programs")
    return found


def copy_postgres(target: Path) -> dict[str, Any]:
    """Dump in one snapshot with the engine's own program."""
    words = tree_words()
    run([program("pg_dump"), "--format=custom", f"--file={target}", "--no-owner"])
    return {"engine": "postgresql", **words}


def run(command: list[str]) -> None:
    """Run one of the engine's programs, or say what it answered."""
    done = subprocess.run(command, env=postgres_environment(), capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupFault(f"{Path(command[0]).name} answered: {done.stderr.strip()}")


def restore(source: Path, *, over: bool = False) -> dict[str, Any]:
    """Put a copy back in the place of the book, after checking that it is the copy that its facts speak of.

    A book that is longer than the copy is kept unless ``over`` is given: entries made since would be gone.
    """
    if not source.exists() or not facts_of(source).exists():
        raise BackupFault(f"{source} with its facts ({facts_of(source).name}) is not there")
    facts: dict[str, Any] = json.loads(facts_of(source).read_text(encoding="utf-8"))
    if digest(source) != facts["sha256"]:
        raise BackupFault(f"{source} was changed since it was made: its SHA-256 is another")
    if facts["engine"] != connection.vendor:
        raise BackupFault(f"{source} is a copy from {facts['engine']}; this book stands on {connection.vendor}")
    here = book_size()
    if here > facts["size"] and not over:
        gone = here - facts["size"]
        raise BackupFault(f"The book has {here} entries, the copy {facts['size']}. {gone} would be lost; say --over to do it")
    put_back(source)
    now = tree_words()
    if (now["size"], now["root"]) != (facts["size"], facts["root"]):
        raise BackupFault("What was put back is not what the facts of the copy say")
    return facts


def book_size() -> int:
    """Return how many entries the book has, none where it was never laid."""
    if "journal_head" not in connection.introspection.table_names():
        return 0
    head = JournalHead.objects.filter(pk=1).first()
    return head.size if head else 0


def put_back(source: Path) -> None:
    """Copy a checked file over the book."""
    if connection.vendor != "sqlite":
        run([program("pg_restore"), "--clean", "--if-exists", "--no-owner", "--single-transaction",
             f"--dbname={connection.settings_dict['NAME']}", str(source)])
        connections["default"].close()
        return
    connection.ensure_connection()
    with closing(sqlite3.connect(source)) as copy:
        refuse_broken(copy)
        copy.backup(connection.connection)
    connections["default"].close()
