"""Rows by a fixed statement. The query builder costs ten times what SQLite needs for a look-up by key; the recorders ask
a dozen of them under the journal's lock, so those few are written out here and stay the same text for ever."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, TypeVar

from django.db import connection, models

M = TypeVar("M", bound=models.Model)
Converter = Callable[[Any, Any, Any], Any]


@cache
def columns(model: type[models.Model]) -> str:
    """Return the columns of a table in the order of its fields, each with the table's name."""
    quote = connection.ops.quote_name
    table = quote(model._meta.db_table)
    return ", ".join(f"{table}.{quote(f.column)}" for f in model._meta.concrete_fields)


@cache
def converters(model: type[models.Model]) -> tuple[tuple[int, Any, tuple[Converter, ...]], ...]:
    """Return what turns an engine's values into the fields' values: (position, expression, functions)."""
    found = []
    for i, field in enumerate(model._meta.concrete_fields):
        col = field.get_col(model._meta.db_table)
        functions = (*connection.ops.get_db_converters(col), *col.get_db_converters(connection))
        if functions:
            found.append((i, col, functions))
    return tuple(found)


def values(sql: str, params: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
    """Run one statement and return its rows as they come."""
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return cursor.fetchall()


def rows(model: type[M], tail: str, params: Sequence[Any] = ()) -> list[M]:
    """Return model rows by what follows ``FROM table`` (joins, condition, order)."""
    table = model._meta.db_table
    found = values(f"SELECT {columns(model)} FROM {table} {tail}", params)  # the text is ours, values are bound
    names = [f.attname for f in model._meta.concrete_fields]
    return [model.from_db(connection.alias, names, converted(model, row)) for row in found]


def linked(kinds: Sequence[type[models.Model]], tail: str, params: Sequence[Any] = ()) -> tuple[Any, ...] | None:
    """Return the rows of several tables that one statement joins, one of each, or None. The first stands behind FROM."""
    found = values(f"SELECT {', '.join(map(columns, kinds))} FROM {kinds[0]._meta.db_table} {tail} LIMIT 1", params)
    return cut(kinds, found[0]) if found else None


def cut(kinds: Sequence[type[models.Model]], line: Sequence[Any]) -> tuple[Any, ...]:
    """Return the model rows that lie side by side in one line of an answer."""
    made, start = [], 0
    for model in kinds:
        names = [f.attname for f in model._meta.concrete_fields]
        made.append(model.from_db(connection.alias, names, converted(model, line[start : start + len(names)])))
        start += len(names)
    return tuple(made)


def converted(model: type[models.Model], row: Sequence[Any]) -> list[Any]:
    """Return a row with the engine's values turned into the fields' values."""
    fields = list(row)
    for i, col, functions in converters(model):
        for function in functions:
            fields[i] = function(fields[i], col, connection)
    return fields


def row(model: type[M], tail: str, params: Sequence[Any] = ()) -> M | None:
    """Return the first of such rows, or None."""
    found = rows(model, tail, params)
    return found[0] if found else None


def marks(items: Sequence[Any]) -> str:
    """Return as many parameter marks as there are items, for an IN list."""
    return ", ".join(["%s"] * len(items))
