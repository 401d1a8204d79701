"""What the pages of the office ask: a period, an account that ends."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.plain import DayField, WordsField

PASSWORD = {"autocomplete": "new-password"}


class PeriodForm(forms.Form):
    """The first and last day of a period, both within it."""

    first_on = DayField(label=_("From"))
    last_on = DayField(label=_("Up to"))

    def clean(self) -> dict[str, Any]:
        """A period ends after it begins."""
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("first_on"), data.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", gettext("A period ends after it begins: the last day is before the first."))
        return data


class AccountForm(forms.Form):
    """An auditor's account, which ends by itself."""

    login = WordsField(label=_("Name of the account"), required=True, max_length=150, help_text=_("Letters, digits and @ . + - _"))
    password = forms.CharField(label=_("Password, twelve signs or more"), widget=forms.PasswordInput(attrs=PASSWORD), strip=False)
    last_on = DayField(label=_("Last day on which it opens"))
