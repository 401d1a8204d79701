"""How a row reads in the journal: every field as text, whole number or nothing, names instead of internal ids."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal
from functools import cache
from typing import Any

from django.db import models

from lots.models.fields import SealedField
from lots.models.registers import Register
from lots.models.spine import JournalEntry, Lot


def moment(value: dt.datetime) -> str:
    """Return a moment as RFC 3339 in UTC with milliseconds."""
    return value.astimezone(dt.UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@cache
def written_fields(model: type[models.Model]) -> tuple[models.Field[Any, Any], ...]:
    """Return the fields of a table that its journal entry carries (all but the pointer at the entry itself)."""
    return tuple(
        f for f in model._meta.concrete_fields if not (f.is_relation and f.related_model is JournalEntry)
    )


@cache
def named_relations(model: type[models.Model]) -> tuple[str, ...]:
    """Return the relations that are written by name (lots and registers) and must be loaded with the row."""
    return tuple(
        f.name for f in written_fields(model) if f.is_relation and issubclass(f.related_model, (Lot, Register))
    )


def written_value(row: models.Model, field: models.Field[Any, Any]) -> Any:
    """Return one field of a row as the journal writes it."""
    if field.is_relation:
        return written_relation(row, field)
    value = getattr(row, field.attname)
    if isinstance(field, SealedField):
        return {"$h": value} if value else None
    if isinstance(field, models.DecimalField) and value is not None:
        return format(Decimal(value).quantize(Decimal(1).scaleb(-field.decimal_places)), "f")
    if isinstance(value, dt.datetime):
        return moment(value)
    if isinstance(value, (dt.date, uuid.UUID)):
        return str(value)
    return str(value) if isinstance(value, models.enums.Choices) else value


def written_relation(row: models.Model, field: models.Field[Any, Any]) -> Any:
    """Return a pointer by name: a lot by its code, a register by code and version, a step by its number."""
    if getattr(row, field.attname) is None:
        return None
    if not issubclass(field.related_model, (Lot, Register)):
        return getattr(row, field.attname)
    target = getattr(row, field.name, None)
    if target is None:
        return f"a row that is gone ({getattr(row, field.attname)})"
    return target.code if isinstance(target, Lot) else f"{target.code}@{target.version}"


def written(row: models.Model) -> dict[str, Any]:
    """Return the whole row as its journal entry carries it."""
    return {f.name: written_value(row, f) for f in written_fields(type(row))}
