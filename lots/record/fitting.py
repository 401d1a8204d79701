"""What a row of the book can hold: refused in a sentence here, alike on every engine, before an engine breaks off."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from django.db import models
from django.db.backends.base.operations import BaseDatabaseOperations
from django.utils.translation import gettext as _

from lots.journal.canonical import INTEGER_MAX
from lots.models import Composition, FieldPlot
from lots.record.errors import Refused
from lots.record.field_words import field_word

#: Gives the sentence for a field's name and a value that does not fit it; nothing where it does.
Check = Callable[[str, Any], str]


@cache
def checks(model: type[models.Model]) -> tuple[tuple[str, str, bool, Check], ...]:
    """Return for each own field of a table: its name, its attribute, whether it may be left out, and its check."""
    return tuple(
        (f.name, f.attname, f.null or f.primary_key, check_of(f)) for f in model._meta.concrete_fields if f.name != "entry"
    )


def check_of(field: models.Field[Any, Any]) -> Check:
    """Return what says why a value does not fit a field; nothing where it does."""
    if field.is_relation or field.primary_key:
        return fits_always
    if field.model is FieldPlot and field.name == "code":
        # A plot's code stands in every composition that holds its leaf, in fewer signs.
        return check_of_text(Composition._meta.get_field("plot_code"))
    if isinstance(field, models.CharField):
        return check_of_text(field)
    if isinstance(field, models.DecimalField):
        return check_of_decimal(field)
    if isinstance(field, models.IntegerField):
        least, most = BaseDatabaseOperations.integer_field_ranges[field.get_internal_type()]
        least, most = max(least, -INTEGER_MAX), min(most, INTEGER_MAX)
        return check_of_number(least, most)
    return fits_always


def fits_always(_name: str, _value: Any) -> str:
    """Say nothing: the engine and the keys look after such a field."""
    return ""


def check_of_number(least: int, most: int) -> Check:
    """Return the check of a number: one, and between two others."""

    def check(name: str, value: Any) -> str:
        try:
            number = Decimal(value)
        except (InvalidOperation, TypeError, ValueError):
            return _("%(field)s is no number.") % {"field": field_word(name)}
        if number.is_finite() and least <= number <= most:
            return ""
        words = {"field": field_word(name), "least": f"{least:,}", "most": f"{most:,}"}
        return _("%(field)s must lie between %(least)s and %(most)s.") % words

    return check


def check_of_text(field: models.CharField[Any, Any]) -> Check:
    """Return the check of a text: not too long, and one of the words that there are where only some are."""
    words = {str(value) for value, _ in field.flatchoices} | ({""} if field.blank else set())

    def check(name: str, value: str) -> str:
        if len(value) > field.max_length:  # type: ignore[operator]
            too_long = {"field": field_word(name), "count": len(value), "most": field.max_length}
            return _("%(field)s has %(count)s signs, and %(most)s fit. Say it shorter.") % too_long
        if not value and not field.blank:
            return _("%(field)s is missing.") % {"field": field_word(name)}
        if field.choices and value not in words:
            strange = {"field": field_word(name), "words": ", ".join(sorted(words)), "value": value}
            return _("%(field)s is one of %(words)s; %(value)s is none of them.") % strange
        return ""

    return check


def check_of_decimal(field: models.DecimalField[Any, Any]) -> Check:
    """Return the check of a decimal: a number that its column holds."""
    most = 10 ** (field.max_digits - field.decimal_places) - 1
    return check_of_number(-most, most)


def refuse_unfit(row: models.Model) -> None:
    """Refuse a row that its table cannot hold, with the field and what it holds at most."""
    for name, attribute, may_miss, check in checks(type(row)):
        value = getattr(row, attribute)
        if value is None and may_miss:
            continue
        sentence = check(name, value) if value is not None else _("%(field)s is missing.") % {"field": field_word(name)}
        if sentence:
            raise Refused(sentence, name)
