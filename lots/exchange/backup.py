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
from django.db import connection, connections, transaction

from lots.journal.tree import Frontier, root
from lots.models import JournalHead
from lots.read.verifying import verify_book

FACTS = frozenset({"engine", "size", "root", "sha256"})


class BackupFault(Exception):
    """A copy that was not made, or that may not be put back; the text is a sentence."""


def tree_words() -> dict[str, Any]:
    """Return the size and the root of the journal's tree as they stand."""
    head = JournalHead.objects.filter(pk=1).first()
    if head is None or not head.size:
        raise BackupFault("The book is empty: there is nothing to copy yet")
    return {"size": head.size, "root": Frontier.from_bytes(bytes(head.frontier)).root().hex()}


def back_up(target: Path) -> dict[str, Any]:
    """Copy the book to a file while people go on working, check the copy, and write its facts beside it (``.json``)."""
    if target.exists():
        raise BackupFault(f"{target} is there already. Choose another name: a copy is never written over")
    if not book_size():
        raise BackupFault("The book is empty: there is nothing to copy yet")
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        facts = copy_sqlite(part) if connection.vendor == "sqlite" else copy_postgres(part)
        facts["sha256"] = digest(part)
        facts_of(target).write_text(json.dumps(facts, indent=1) + "\n", encoding="utf-8")
        part.rename(target)
    finally:
        part.unlink(missing_ok=True)
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
        size, frontier = copy.execute("SELECT size, frontier FROM journal_head").fetchone()
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
    """Dump one snapshot with the engine's own program, and check the whole book in that same snapshot while others write on."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        snapshot = cursor.fetchone()[0]
        run([program("pg_dump"), "--format=custom", f"--file={target}", "--no-owner", f"--snapshot={snapshot}"])
        words, faults = tree_words(), verify_book()
    if faults:
        raise BackupFault("The book does not agree with its journal:\n" + "\n".join(faults))
    run([program("pg_restore"), "--list", str(target)])
    return {"engine": "postgresql", **words}


def run(command: list[str]) -> str:
    """Run one of the engine's programs and return what it wrote, or say what it answered."""
    done = subprocess.run(command, env=postgres_environment(), capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupFault(f"{Path(command[0]).name} answered: {done.stderr.strip()}")
    return done.stdout


def restore(source: Path, *, over: bool = False) -> dict[str, Any]:
    """Put a copy back in the place of the book, after checking that it is the copy that its facts speak of.

    Entries that the copy does not have, because the book is longer or is another one, are kept unless ``over`` is given.
    """
    facts = read_facts(source)
    if digest(source) != facts["sha256"]:
        raise BackupFault(f"{source} was changed since it was made: its SHA-256 is another")
    if facts["engine"] != connection.vendor:
        raise BackupFault(f"{source} is a copy from {facts['engine']}; this book stands on {connection.vendor}")
    if not over:
        refuse_loss(source, facts)
    put_back(source)
    now = tree_words()
    if (now["size"], now["root"]) != (facts["size"], facts["root"]):
        raise BackupFault("What was put back is not what the facts of the copy say")
    return facts


def read_facts(source: Path) -> dict[str, Any]:
    """Return the facts of a copy, or refuse one whose facts are not there or say nothing."""
    if not source.exists() or not facts_of(source).exists():
        raise BackupFault(f"{source} with its facts ({facts_of(source).name}) is not there")
    try:
        facts: Any = json.loads(facts_of(source).read_text(encoding="utf-8"))
    except ValueError:
        facts = None
    if not isinstance(facts, dict) or not facts.keys() >= FACTS:
        raise BackupFault(f"The facts of the copy ({facts_of(source).name}) cannot be read")
    return facts


def refuse_loss(source: Path, facts: dict[str, Any]) -> None:
    """Refuse to put a copy over entries that it does not have."""
    here = book_size()
    if here > facts["size"]:
        lost = here - facts["size"]
        raise BackupFault(f"The book has {here} entries, the copy {facts['size']}. {lost} would be lost; say --over to do it")
    if here and root(leaves_of(source, here)).hex() != tree_words()["root"]:
        raise BackupFault(f"This book is not the one that was copied: its {here} entries would be lost; say --over to do it")


def leaves_of(source: Path, count: int) -> list[bytes]:
    """Return the leaf hashes of the first entries of a copy."""
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(source)) as copy:
            return [bytes(leaf) for (leaf,) in copy.execute("SELECT leaf_hash FROM journal_entry WHERE seq < ? ORDER BY seq", [count])]
    told = run([program("pg_restore"), "--data-only", "--table=journal_entry", "--file=-", str(source)])
    head, *lines = told[told.index("COPY ") : told.index("\n\\.")].splitlines()
    columns = [name.strip() for name in head[head.index("(") + 1 : head.index(")")].split(",")]
    entries = [dict(zip(columns, line.split("\t"), strict=True)) for line in lines]
    found = {int(entry["seq"]): bytes.fromhex(entry["leaf_hash"].removeprefix("\\\\x")) for entry in entries}
    return [found[seq] for seq in sorted(found) if seq < count]


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
