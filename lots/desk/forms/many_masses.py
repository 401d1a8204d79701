"""A line that takes many weights: each Enter adds one, Enter on an empty line moves on."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.figures import language
from lots.desk.forms.widgets import Drawn, one
from lots.trade.numbers import read_number
from lots.trade.units import mg_from_g

WEIGHTS_MOST = 500


class ManyFigures(Drawn, forms.Textarea):
    """A tall ruled line for figures, one a row."""

    template_name = "desk/parts/many_figures.html"

    def __init__(self) -> None:
        super().__init__({"inputmode": "decimal", "autocomplete": "off", "data-figure": "", "data-many": "", "rows": 3})

    def value_from_datadict(self, data: Any, _files: Any, name: str) -> str:
        """Return the rows as they were typed."""
        return one(data, name)


class ManyMassField(forms.Field):
    """Weights in grams, one a row; cleaned to a tuple of whole mg."""

    part: ClassVar[str] = "figure"
    never_filled: ClassVar[bool] = True
    widget = ManyFigures
    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": _("No weight was typed. Weigh the packs one after another."),
        "many": _("That is more than %(most)d weights. Send them in two parts."),
        "row": _("Row %(row)d: %(why)s"),
    }

    def __init__(self, *, places: int = 2, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("One a row, in grams; each Enter adds one, Enter on an empty row moves on."))
        super().__init__(**kwargs)
        self.places = places

    def to_python(self, value: Any) -> tuple[int, ...] | None:
        """Return the weights."""
        rows = [row.strip() for row in re.split(r"[\r\n;]+", str(value or "")) if row.strip()]
        if len(rows) > WEIGHTS_MOST:
            raise ValidationError(self.error_messages["many"], code="many", params={"most": WEIGHTS_MOST})
        return tuple(self.read_row(number, typed) for number, typed in enumerate(rows, 1)) or None

    def read_row(self, number: int, typed: str) -> int:
        """Return one weight, or say which row cannot be read."""
        reading = read_number(typed, self.places, None, "g", language())
        if reading.value is None:
            why = reading.question or reading.refusal
            raise ValidationError(self.error_messages["row"], code="row", params={"row": number, "why": why})
        return mg_from_g(reading.value)

    def prepare_value(self, value: Any) -> Any:
        """Return the rows as they were typed, each with an end, so that the next weight begins a new one."""
        return f"{value}\n" if isinstance(value, str) and value and not value.endswith("\n") else value
