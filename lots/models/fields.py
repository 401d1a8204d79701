"""Field types of the book: exact decimals that read back alike on every engine, and sealed values."""

from __future__ import annotations

from typing import Any

from django.db import models


def frac(**options: Any) -> models.DecimalField:
    """Return a field for a fraction with five places (moisture 0.04600, share of a loss 0.00350)."""
    return models.DecimalField(max_digits=7, decimal_places=5, **options)


def decimal(places: int, **options: Any) -> models.DecimalField:
    """Return a field for any other decimal quantity; its name carries the unit."""
    return models.DecimalField(max_digits=12, decimal_places=places, **options)


class SealedField(models.CharField):
    """Holds the salted commitment of a value about a person or an exact place; the value lives in `PrivateValue`.

    Empty means that nothing was given. The value can be erased later without touching the row or its journal entry.
    """

    def __init__(self, *args: Any, **options: Any) -> None:
        options.setdefault("max_length", 64)
        options.setdefault("blank", True)
        options.setdefault("default", "")
        super().__init__(*args, **options)
