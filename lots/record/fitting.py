"""What a row of the book can hold: refused in a sentence here, alike on every engine, before an engine breaks off."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from django.db import models
from django.db.backends.base.operations import BaseDatabaseOperations

from lots.journal.canonical import INTEGER_MAX
from lots.record.errors import Refused

Check = Callable[[Any], str]


@cache
def checks(model: type[models.Model]) -> tuple[tuple[str, str, bool, Check], ...]:
    """Return for each own field of a table: its name, its attribute, whether it may be left out, and its check."""
    return tuple(
        (f.name, f.attname, f.null or f.primary_key, check_of(f)) for f in model._meta.concrete_fields if f.name != "entry"
    )


def check_of(field: models.Field[Any, Any]) -> Check:
    """Return what says in words why a value does not fit a field; empty words where it does."""
    if field.is_relation or field.primary_key:
        return lambda _: ""
    if isinstance(field, models.CharField):
        return check_of_text(field)
    if isinstance(field, models.DecimalField):
        return check_of_decimal(field)
    if isinstance(field, models.IntegerField):
        least, most = BaseDatabaseOperations.integer_field_ranges[field.get_internal_type()]
        least, most = max(least, -INTEGER_MAX), min(most, INTEGER_MAX)
        return lambda value: number_words(value, least, most)
    return lambda _: ""


def number_words(value: Any, least: int, most: int) -> str:
    """Return why a value is no number between two others."""
    try:
        number = Decimal(value)
    except (InvalidOperation, TypeError, ValueError):
        return "is no number"
    return "" if number.is_finite() and least <= number <= most else f"must lie between {least:,} and {most:,}"


def check_of_text(field: models.CharField[Any, Any]) -> Check:
    """Return the check of a text: not too long, and one of the words that there are where only some are."""
    words = {str(value) for value, _ in field.flatchoices} | ({""} if field.blank else set())

    def check(value: str) -> str:
        if len(value) > field.max_length:  # type: ignore[operator]
            return f"has {len(value)} signs, and {field.max_length} fit. Say it shorter"
        return f"is one of {', '.join(sorted(words))}; {value} is none of them" if field.choices and value not in words else ""

    return check


def check_of_decimal(field: models.DecimalField[Any, Any]) -> Check:
    """Return the check of a decimal: a number that its column holds."""
    most = 10 ** (field.max_digits - field.decimal_places) - 1
    return lambda value: number_words(value, -most, most)


def refuse_unfit(row: models.Model) -> None:
    """Refuse a row that its table cannot hold, with the field and what it holds at most."""
    for name, attribute, may_miss, check in checks(type(row)):
        value = getattr(row, attribute)
        words = check(value) if value is not None else "" if may_miss else "is missing"
        if words:
            raise Refused(f"{name.replace('_', ' ').capitalize()} {words}.", name)
