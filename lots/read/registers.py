"""The registers as they stand: the newest version of each code, and what a typed text means among them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from django.db.models import Exists, OuterRef, Q, QuerySet

from lots.models import Register
from lots.read.rows import values

R = TypeVar("R", bound=Register)


def in_force(model: type[R]) -> QuerySet[R, R]:
    """Return the newest version of every code that is still in use, in order of code."""
    rows: Any = model
    later = rows.objects.filter(code=OuterRef("code"), version__gt=OuterRef("version"))
    found: QuerySet[R, R] = rows.objects.filter(~Exists(later), retired=False).order_by("code")
    return found


def newest(model: type[R]) -> QuerySet[R, R]:
    """Return the newest version of every code, also of what is out of use."""
    rows: Any = model
    later = rows.objects.filter(code=OuterRef("code"), version__gt=OuterRef("version"))
    found: QuerySet[R, R] = rows.objects.filter(~Exists(later)).order_by("code")
    return found


def named(model: type[R], text: str) -> R | None:
    """Return the thing that a text names, by its code or by its name, capitals or not; None where nothing has it."""
    wanted = text.strip()
    if not wanted or not wanted.isprintable():
        return None
    known = {f.name for f in model._meta.concrete_fields}
    asked = Q(code__iexact=wanted)
    if "name" in known and model._meta.get_field("name").get_internal_type() == "CharField":
        asked |= Q(name__iexact=wanted)
    rows = in_force(model).filter(asked)
    return next((row for row in rows if row.code.lower() == wanted.lower()), rows[0] if rows else None)


def counts(models: Iterable[type[Register]]) -> dict[str, int]:
    """Return how many things each register holds, versions counted once, in one statement for all."""
    tables = [model._meta.db_table for model in models]
    told = values(" UNION ALL ".join(f"SELECT '{table}', COUNT(DISTINCT code) FROM {table}" for table in tables))
    return {table: int(count) for table, count in told}
