"""Fields that read what hands type and scanners send. Each answers with a sentence, and keeps what was typed."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.figures import (
    CountField,
    FigureField,
    HoursField,
    MassField,
    MeasureField,
    Moisture,
    MoistureField,
)
from lots.desk.forms.moments import MomentField
from lots.desk.forms.scanning import ScanField, Scanned
from lots.desk.forms.widgets import Strip

__all__ = [
    "ChoiceStrip", "CountField", "FigureField", "HoursField", "MassField", "MeasureField", "Moisture", "MoistureField",
    "MomentField", "ReasonField", "ScanField", "Scanned",
]


class ChoiceStrip(forms.ChoiceField):
    """Up to seven answers, all in sight."""

    part: ClassVar[str] = "rest"
    never_filled: ClassVar[bool] = False
    widget = Strip
    default_error_messages = {
        "required": _("Choose one."),
        "invalid_choice": _("%(value)s is not one of the answers. Choose again."),
    }


class ReasonField(forms.CharField):
    """Why something was done, in the person's own words."""

    default_error_messages = {"required": _("Say why, in a few words.")}

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("Why"))
        super().__init__(max_length=kwargs.pop("max_length", 200), **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")
        # Nothing is cut off while typing; the server says what is too long.
        self.widget.attrs.pop("maxlength", None)
