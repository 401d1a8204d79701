"""The append-only locks: triggers on every table of the book, laid after each migrate, checked by the system checks.

A migration that rebuilds a table on SQLite drops its triggers without a word, so they are never part of a migration.
They are locks against accidents; the journal's hashes are the evidence.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core import checks
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

PG_FUNCTION = """
CREATE OR REPLACE FUNCTION ledger_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'rows of % are written once and stay', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def tables() -> list[tuple[str, str]]:
    """Return each locked table with its primary key's column."""
    from lots.models import BOOK

    return [(m._meta.db_table, m._meta.pk.column) for m in BOOK]


def sqlite_triggers(table: str, key: str) -> dict[str, str]:
    """Return the triggers of one table on SQLite by name; the third stops INSERT OR REPLACE on the key."""
    stay = f"SELECT RAISE(ABORT, 'rows of {table} are written once and stay')"
    return {
        f"{table}_no_update": f"BEFORE UPDATE ON {table} BEGIN {stay}; END",
        f"{table}_no_delete": f"BEFORE DELETE ON {table} BEGIN {stay}; END",
        f"{table}_no_replace": f"BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}) BEGIN {stay}; END",
    }


def pg_triggers(table: str) -> dict[str, str]:
    """Return the triggers of one table on PostgreSQL by name."""
    run = "EXECUTE FUNCTION ledger_append_only()"
    return {
        f"{table}_no_change": f"BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {run}",
        f"{table}_no_truncate": f"BEFORE TRUNCATE ON {table} FOR EACH STATEMENT {run}",
    }


def wanted(connection: BaseDatabaseWrapper) -> dict[str, tuple[str, str]]:
    """Return every trigger that must stand: name to (table, definition)."""
    postgres = connection.vendor == "postgresql"
    return {
        name: (table, body)
        for table, key in tables()
        for name, body in (pg_triggers(table) if postgres else sqlite_triggers(table, key)).items()
    }


def standing(connection: BaseDatabaseWrapper) -> set[str]:
    """Return the names of the triggers that stand and are enabled."""
    sql = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    if connection.vendor == "postgresql":
        sql = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled = 'A'"
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return {row[0] for row in cursor.fetchall()}


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the triggers that should stand and do not, for tables that exist."""
    here = set(connection.introspection.table_names())
    up = standing(connection)
    return sorted(name for name, (table, _) in wanted(connection).items() if table in here and name not in up)


def settle(connection: BaseDatabaseWrapper) -> None:
    """Let PostgreSQL look at waiting pointer checks now: it alters no table while some wait in the transaction."""
    if connection.vendor == "postgresql" and connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")


def install(connection: BaseDatabaseWrapper) -> None:
    """Lay every trigger that is missing."""
    gone = missing(connection)
    settle(connection)
    with connection.cursor() as cursor:
        if gone and connection.vendor == "postgresql":
            cursor.execute(PG_FUNCTION)
        for name in gone:
            table, body = wanted(connection)[name]
            cursor.execute(f"CREATE TRIGGER {name} {body}")
            if connection.vendor == "postgresql":
                cursor.execute(f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {name}")


def drop(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger away (for a migration that must rebuild a table, and for tests of `verify`)."""
    up = standing(connection)
    settle(connection)
    with connection.cursor() as cursor:
        for name, (table, _) in wanted(connection).items():
            if name in up:
                cursor.execute(f"DROP TRIGGER {name}" + (f" ON {table}" if connection.vendor == "postgresql" else ""))


@contextmanager
def suspended(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Lift the locks for the time of the block."""
    drop(connection)
    try:
        yield
    finally:
        install(connection)


def after_migrate(using: str = "default", **_: Any) -> None:
    """Lay the locks after each migrate."""
    install(connections[using])


def check_locks(databases: list[str] | None = None, **_: Any) -> list[checks.CheckMessage]:
    """Return an error for each lock that does not stand (run with ``check --database default``)."""
    return [
        checks.Error(f"The append-only lock {name} does not stand.", hint="Run manage.py migrate.", id="lots.E001")
        for alias in databases or []
        for name in missing(connections[alias])
    ]


def register_check() -> None:
    """Register the system check."""
    checks.register(checks.Tags.database)(check_locks)
