"""A row of a limit table has to be understood before it stands: a value that is a number, days in order."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django.utils.translation import gettext as _

from lots.quality.limits import BASES, UNITS, Bound
from lots.record.errors import Refused


def limit_faults(fields: dict[str, Any]) -> list[tuple[str, str]]:
    """Return what is wrong with a row as (field, sentence), all of it."""
    found = []
    for name, words in (("market", _("no market")), ("parameter", _("no parameter")), ("clause", _("no clause of a law or standard")),
                        ("read_in", _("it does not say where it was read"))):
        if not str(fields.get(name, "")).strip():
            found.append((name, words))
    if number(str(fields.get("value", ""))) is None:
        found.append(("value", _("the value “%(value)s” is not a number above nothing") % {"value": fields.get("value", "")}))
    for name, known in (("unit", UNITS), ("basis", BASES), ("bound", [b.value for b in Bound])):
        if fields.get(name, next(iter(known))) not in known:
            msg = _("%(value)s is not known here; write one of: %(known)s")
            found.append((name, msg % {"value": fields.get(name) or _("nothing"), "known": ", ".join(known)}))
    first, last = fields.get("valid_from_on"), fields.get("valid_to_on")
    if first and last and last < first:
        found.append(("valid_to_on", _("it ends before it begins")))
    return found


def number(text: str) -> Decimal | None:
    """Return a value of a limit, None where the text is none."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    return value if value.is_finite() and value >= 0 and text.isascii() and "e" not in text.lower() else None


def limit_fields(fields: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of a row that can be understood, or refuse at the first that cannot."""
    for name, words in limit_faults(fields):
        raise Refused(f"{words[:1].upper()}{words[1:]}.", name)
    return fields
