"""How much powder is wanted."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.figures import MassField


class PlanForm(forms.Form):
    """One question; the rest stands in the book."""

    order_mg = MassField(label=_("Powder that is wanted, in kilograms"), places=3, capacity=500)
