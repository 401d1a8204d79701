"""A scan line that takes lots with their kilograms: scan a lot, type its weight, Enter; the next line is the next lot."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.figures import language
from lots.desk.forms.many import LINES_MOST, ManyTicket
from lots.desk.forms.scanning import ScanField, Scanned
from lots.trade.numbers import read_number
from lots.trade.units import mg_from_kg

#: So much at most is thought of where no scale says: then 1.100 is read in one way.
MOST_KG = Decimal(999)
_WEIGHT = re.compile(r"[\d.,]+(?:\s*(?:kg|キロ))?", re.IGNORECASE)
_BEHIND = re.compile(r"(?P<code>\S.*?)[\s:;=]+(?P<weight>[\d.,]+(?:\s*kg)?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class WeighedLine:
    """A lot that was scanned, and the mass that was typed for it, in mg (None: none)."""

    scanned: Scanned
    mass_mg: int | None


class ManyWeighedField(ScanField):
    """Lots with their weights in kilograms; cleaned to a tuple of `WeighedLine`. A weight stands behind its code or on the
    line after it. ``whole``: a lot without a weight stands for all of it."""

    widget = ManyTicket
    default_error_messages: ClassVar[dict[str, Any]] = {
        "many": _("That is more than %(most)d lines. Send them in two parts."),
        "first": _("%(typed)s stands there before any lot was scanned."),
        "weight": _("No weight stands behind %(typed)s. Type its kilograms, 0 if nothing is there."),
        "row": _("%(typed)s: %(why)s"),
    }

    def __init__(self, *, whole: bool = False, places: int = 3, most_kg: Decimal = MOST_KG, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("Scan a lot, type its kilograms, Enter; then the next. Enter on an empty line moves on."))
        super().__init__(kinds=("lot", "pack", "name"), **kwargs)
        self.whole, self.places, self.most_kg = whole, places, most_kg

    def to_python(self, value: Any) -> tuple[WeighedLine, ...] | None:
        """Return the lots with their weights."""
        typed = [line.strip() for line in re.split(r"[\r\n]+", str(value or "")) if line.strip()]
        if len(typed) > 2 * LINES_MOST:
            raise ValidationError(self.error_messages["many"], code="many", params={"most": LINES_MOST})
        return tuple(self.read_lines(typed)) or None

    def read_lines(self, typed: list[str]) -> Iterator[WeighedLine]:
        """Yield each lot as soon as it is clear which weight is its own."""
        open_: Scanned | None = None
        for line in typed:
            if _WEIGHT.fullmatch(line):
                if open_ is None:
                    raise ValidationError(self.error_messages["first"], code="first", params={"typed": line})
                yield WeighedLine(open_, self.mass_of(open_, line))
                open_ = None
                continue
            if open_ is not None:
                yield WeighedLine(open_, None)
            behind = _BEHIND.fullmatch(line)
            open_ = super().to_python(behind.group("code") if behind else line)
            if behind and open_ is not None:
                yield WeighedLine(open_, self.mass_of(open_, behind.group("weight")))
                open_ = None
        if open_ is not None:
            yield WeighedLine(open_, None)

    def mass_of(self, scanned: Scanned, typed: str) -> int:
        """Return a weight, or say why it cannot be read."""
        reading = read_number(typed, self.places, self.most_kg, "kg", language())
        if reading.value is None:
            why = reading.question or reading.refusal
            raise ValidationError(self.error_messages["row"], code="row", params={"typed": scanned.typed, "why": why})
        return mg_from_kg(reading.value)

    def validate(self, value: Any) -> None:
        """Refuse lines that cannot be codes, and a lot without its weight where all have one."""
        forms.Field.validate(self, value)
        for line in value or ():
            super().validate(line.scanned)
            if line.mass_mg is None and not self.whole:
                raise ValidationError(self.error_messages["weight"], code="weight", params={"typed": line.scanned.typed})

    def prepare_value(self, value: Any) -> Any:
        """Return the lines as they were typed, each with an end, so that the next scan begins a new one."""
        return f"{value}\n" if isinstance(value, str) and value and not value.endswith("\n") else value
