"""Rows of the book are written once and stay: table by table, on whichever engine the tests run."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable
from contextlib import nullcontext
from decimal import Decimal
from typing import Any

import pytest
from django.core.checks import Tags, run_checks
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction

from lots.models import BOOK, JournalEntry, Lot, locks

NOON = dt.datetime(2031, 5, 1, 12, tzinfo=dt.UTC)
BY_KIND: dict[type[models.Field], Any] = {
    models.BooleanField: False, models.DecimalField: Decimal("0.5"), models.IntegerField: 1, models.UUIDField: uuid.UUID(int=7),
    models.BinaryField: b"\x01", models.DateTimeField: NOON, models.DateField: NOON.date(), models.JSONField: {},
    models.FloatField: 0.5, models.CharField: "lost", models.TextField: "x",
}
by_table = pytest.mark.parametrize("table", BOOK, ids=lambda table: table.__name__)


def some_value(field: models.Field) -> Any:
    if field.null:
        return None
    if field.is_relation:
        return 1
    value = next(value for kind, value in BY_KIND.items() if isinstance(field, kind))
    return value[: field.max_length] if isinstance(value, str) else value


def some_row(table: type[models.Model]) -> models.Model:
    """A row that fits its columns; whom it points at is looked at on commit only, and no such test commits."""
    row = table(**{field.attname: some_value(field) for field in table._meta.concrete_fields})
    row.save_base(raw=True, force_insert=True)
    return row


def put_again(row: models.Model) -> None:
    """The same key once more, by the statement that replaces where the engine has one."""
    columns = [field.column for field in row._meta.concrete_fields]
    values = [field.get_db_prep_save(getattr(row, field.attname), connection) for field in row._meta.concrete_fields]
    verb = "INSERT OR REPLACE" if connection.vendor == "sqlite" else "INSERT"
    names, places = ", ".join(f'"{name}"' for name in columns), ", ".join(["%s"] * len(columns))
    with connection.cursor() as cursor:
        cursor.execute(f'{verb} INTO "{row._meta.db_table}" ({names}) VALUES ({places})', values)


def change(row: models.Model) -> None:
    field = row._meta.concrete_fields[-1]
    type(row)._base_manager.filter(pk=row.pk).update(**{field.attname: getattr(row, field.attname)})


ATTEMPTS: dict[str, Callable[[models.Model], object]] = {
    "change": change,
    "save again": lambda row: row.save_base(raw=True, force_update=len(row._meta.concrete_fields) > 1),
    "take out": lambda row: type(row)._base_manager.filter(pk=row.pk)._raw_delete(connection.alias),
    "put again": put_again,
}


@by_table
@pytest.mark.django_db
def test_a_row_stays_as_it_was_written(table: type[models.Model]) -> None:
    with transaction.atomic():
        row = some_row(table)
        before = table._base_manager.filter(pk=row.pk).values().get()
        for name, attempt in ATTEMPTS.items():
            with pytest.raises(IntegrityError), transaction.atomic():
                attempt(row)
            assert table._base_manager.filter(pk=row.pk).values().get() == before, name
        transaction.set_rollback(True)


@by_table
@pytest.mark.django_db
def test_a_table_is_not_emptied(table: type[models.Model]) -> None:
    # A server refuses to truncate a table with unfinished rows for a reason of its own; its lock needs no row.
    postgres = connection.vendor == "postgresql"
    with transaction.atomic():
        kept = [] if postgres else [some_row(table).pk]
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(("TRUNCATE {} CASCADE" if postgres else "DELETE FROM {}").format(table._meta.db_table))
        assert list(table._base_manager.values_list("pk", flat=True)) == kept
        transaction.set_rollback(True)


@pytest.mark.django_db(transaction=True)
def test_locks_are_laid_again_after_a_table_was_rebuilt() -> None:
    old = Lot._meta.get_field("material")
    wider = models.CharField(max_length=99)
    wider.set_attributes_from_name("material")
    wider.model = Lot
    try:
        alter(old, wider)
        call_command("migrate", verbosity=0)
        assert locks.missing(connection) == []
    finally:
        alter(wider, old)
        call_command("migrate", verbosity=0)
    assert locks.missing(connection) == []


def alter(old: models.Field, new: models.Field) -> None:
    # A rebuild on SQLite fails while a lock of another table names the one that is rebuilt.
    with locks.suspended(connection) if connection.vendor == "sqlite" else nullcontext(), connection.schema_editor() as editor:
        editor.alter_field(Lot, old, new)


@pytest.mark.django_db(transaction=True)
def test_a_lock_that_fell_is_reported() -> None:
    fallen = locks.missing(connection)
    with connection.cursor() as cursor:
        name = next(iter(locks.wanted(connection)))
        cursor.execute(f"DROP TRIGGER {name}" + (f" ON {locks.wanted(connection)[name][0]}" if connection.vendor == "postgresql" else ""))
    reported = [message.msg for message in run_checks(tags=[Tags.database], databases=["default"]) if name in message.msg]
    locks.install(connection)
    assert (fallen, len(reported)) == ([], 1)
    assert locks.missing(connection) == []


@pytest.mark.parametrize("turn", [1, 2])
@pytest.mark.django_db(transaction=True)
def test_a_test_that_committed_leaves_nothing_to_the_next(turn: int) -> None:
    assert JournalEntry.objects.count() == 0
    some_row(JournalEntry)
    assert (turn, JournalEntry.objects.count()) == (turn, 1)
    assert locks.missing(connection) == []
