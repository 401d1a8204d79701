"""Plain fields of the desk: days, choices from a register, the house's own numbers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip
from lots.desk.forms.moments import read_day
from lots.models import Lot

STRIP_MOST = 7
REF_SIGNS_MAX = 40


class DayField(forms.Field):
    """A day, typed as 2026-07-14 or shorter; cleaned to a date. The clock may fill in today."""

    default_error_messages = {
        "required": _("Say on which day."),
        "day": _("“%(typed)s” is not a day. Type it as 2026-07-14."),
    }

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.TextInput(attrs={"autocomplete": "off", "lang": "en", "data-day": ""}), **kwargs)

    def to_python(self, value: Any) -> dt.date | None:
        """Return the day."""
        typed = str(value or "").strip()
        if not typed:
            return None
        day = read_day(typed, timezone.localdate())
        if day is None:
            raise ValidationError(self.error_messages["day"], code="day", params={"typed": typed})
        return day


class WordsField(forms.CharField):
    """A few words. Nothing is cut off while typing; the server says what is too long."""

    default_error_messages = {"required": _("Write a few words."), "max_length": _("That is %(show_value)d signs; %(limit_value)d fit.")}

    def __init__(self, *, required: bool = False, passed: bool = False, **kwargs: Any) -> None:
        """``passed``: Enter passes over the line on its way, because it is seldom typed."""
        super().__init__(required=required, **kwargs)
        self.widget.attrs.pop("maxlength", None)
        if passed:
            self.widget.attrs["data-passed"] = ""
        self.widget.attrs.setdefault("autocomplete", "off")


class LongList(forms.ChoiceField):
    """More answers than fit in sight."""

    part: ClassVar[str] = "rest"
    default_error_messages = ChoiceStrip.default_error_messages


def pick(label: Any, choices: Sequence[tuple[str, Any]], *, required: bool = True, **kwargs: Any) -> forms.ChoiceField:
    """Return a field with answers from a register: all in sight while they fit, else a list."""
    if len(choices) <= STRIP_MOST:
        return ChoiceStrip(label=label, choices=choices, required=required, **kwargs)
    return LongList(label=label, choices=[("", gettext("Choose one")), *choices], required=required, **kwargs)


def ref_field(label: Any) -> WordsField:
    """The maker's own reference of a lot, which stands beside its code."""
    return WordsField(label=label, max_length=REF_SIGNS_MAX)


class RefMixin(ActForm):
    """A form on which the lot can be given the house's own number; no two lots have the same."""

    def clean_maker_ref(self) -> str:
        """Return the number, if no other lot has it."""
        ref = " ".join(self.cleaned_data["maker_ref"].split())
        others = Lot.objects.filter(maker_ref__iexact=ref).exclude(step__entry__act_id=self.act_id)
        if ref and others.exists():
            raise ValidationError(gettext("Lot %(ref)s is in the book already. Look at the number.") % {"ref": ref}, code="taken")
        return ref


@dataclass(frozen=True, slots=True)
class Answers:
    """What a field can be answered with, and which of it stands chosen."""

    known: Sequence[tuple[str, Any]]
    chosen: str = ""


def put_answers(form: forms.Form, name: str, label: Any, answers: Answers | None, *, required: bool = True) -> None:
    """Give a form a field with answers from a register; where the register has none the form does not ask."""
    if answers is not None and answers.known:
        form.fields[name] = pick(label, answers.known, required=required)
        form.fields[name].initial = answers.chosen
