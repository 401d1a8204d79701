"""One way into a table: many rows of one model in one statement batch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache

from django.db import connection, models


@cache
def insert_fields(model: type[models.Model]) -> tuple[models.Field[object, object], ...]:
    """Return the fields of an insert: all, but for a key that the engine counts itself."""
    return tuple(f for f in model._meta.concrete_fields if not isinstance(f, models.AutoField | models.BigAutoField))


@cache
def insert_sql(model: type[models.Model]) -> str:
    """Return the statement that inserts one whole row of a table."""
    columns = [f.column for f in insert_fields(model)]
    quote = connection.ops.quote_name
    return (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(map(quote, columns))}) "
        f"VALUES ({', '.join(['%s'] * len(columns))})"
    )


@contextmanager
def together() -> Iterator[None]:
    """Send what is written inside without waiting for each answer. A server is a journey away, and an act writes a dozen
    times; a question asked in between waits for everything before it. An engine in the same process gains nothing by it."""
    if connection.vendor != "postgresql":
        yield
        return
    connection.ensure_connection()
    with connection.wrap_database_errors, connection.connection.pipeline():
        yield


def change(sql: str, rows: Sequence[Sequence[object]]) -> None:
    """Run one statement on a derived or working table for each row of values."""
    with connection.cursor() as cursor:
        cursor.executemany(sql, rows)


def insert(rows: Sequence[models.Model]) -> None:
    """Insert rows without a query per row. Faster than saving one by one, and no signals."""
    if not rows:
        return
    model = type(rows[0])
    fields = insert_fields(model)
    values = [[f.get_db_prep_save(getattr(r, f.attname), connection) for f in fields] for r in rows]
    with connection.cursor() as cursor:
        cursor.executemany(insert_sql(model), values)
