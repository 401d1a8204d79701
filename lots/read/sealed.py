"""Where values about persons stand: found by a word of theirs, each with the rows that carry its commitment."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import models

from lots.models import Consignment, PackReturn, Party, PartyContact, PrivateValue
from lots.models.fields import SealedField
from lots.read.names import plain

#: Tables with values of buyers and subscribers. Names of staff and places of plots are not forgotten from here.
TABLES: tuple[type[models.Model], ...] = (Consignment, PackReturn, Party, PartyContact)
WORD_LEAST, FOUND_MOST = 3, 60


@dataclass(frozen=True, slots=True)
class Standing:
    """A row that carries a commitment: its table and field, its entry, when it happened."""

    table: str
    field: str
    entry: int
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Held:
    """A value that is not erased yet, with the rows that carry its commitment."""

    commitment: str
    words: str
    stands: tuple[Standing, ...]


def held_of(word: str) -> list[Held]:
    """Return the values in which a word stands, as far as they belong to buyers and subscribers."""
    asked = word.strip()
    if len(asked) < WORD_LEAST:
        return []
    rows = list(PrivateValue.objects.filter(value__icontains=asked).order_by("pk")[:FOUND_MOST])
    where = standing_of(row.commitment for row in rows)
    return [Held(row.commitment, plain(row.value), tuple(where[row.commitment])) for row in rows if where[row.commitment]]


def standing_of(commitments: Iterable[str]) -> dict[str, list[Standing]]:
    """Return for each commitment the rows that carry it."""
    asked = list(commitments)
    found: dict[str, list[Standing]] = defaultdict(list)
    for model in TABLES:
        for field in (f.name for f in model._meta.concrete_fields if isinstance(f, SealedField)):
            rows = model._base_manager.filter(**{f"{field}__in": asked})
            of_step = any(f.name == "step" for f in model._meta.concrete_fields)
            entry, at = ("step__entry_id", "step__happened_at") if of_step else ("entry_id", "entry__happened_at")
            for commitment, seq, when in rows.values_list(field, entry, at):
                found[commitment].append(Standing(model._meta.db_table, field, seq, when))
    return found
