"""Bags of a delivery, one reading a row in kilograms, and how the leaf was plucked and came."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, MassField
from lots.desk.forms.figures import language
from lots.desk.forms.many_masses import ManyMassField
from lots.desk.forms.moments import read_clock
from lots.desk.forms.plain import WordsField, pick
from lots.desk.forms.weighing import WeighedForm
from lots.models import HarvestFlush, Scale
from lots.record.harvest import Deducted, Round
from lots.trade.numbers import read_number
from lots.trade.units import mg_from_kg

METHODS = (
    (HarvestFlush.Method.HAND, _("by hand")), (HarvestFlush.Method.CUTTER, _("two-man cutter")),
    (HarvestFlush.Method.RIDING, _("riding machine")),
)
DRY, WET = "dry", "wet"
HOURS_BETWEEN = re.compile(r"\s*[-–~〜]\s*|\s+")


class BagsField(ManyMassField):
    """Bags in kilograms, one a row; cleaned to a tuple of whole mg."""

    default_error_messages = {
        "required": _("No bag was typed. Weigh them one after another."),
        "many": _("That is more than %(most)d bags. Take the delivery in as two."),
        "row": _("Bag %(row)d: %(why)s"),
    }

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(help_text=_("One a row, in kilograms; each Enter adds one, Enter on an empty row moves on."), **kwargs)
        self.capacity_kg: Decimal | None = None

    def set_scale(self, scale: Scale | None) -> None:
        """Take decimals and capacity from the scale that stands here."""
        if scale is not None:
            self.places, self.capacity_kg = scale.decimals_count, Decimal(scale.capacity_mg) / 1_000_000

    def read_row(self, number: int, typed: str) -> int:
        """Return one bag in mg, or say which row cannot be read."""
        reading = read_number(typed, self.places, self.capacity_kg, "kg", language())
        if reading.value is None:
            why = reading.question or reading.refusal
            raise ValidationError(self.error_messages["row"], code="row", params={"row": number, "why": why})
        return mg_from_kg(reading.value)


class RoundForm(WeighedForm):
    """What a delivery says besides its leaf: deducted water, who plucked and how, who brought it."""

    water_mg = MassField(label=_("Deducted water, in kilograms"), required=False)
    water_reason = WordsField(label=_("Why it is deducted: dew, rain, washed leaf"), max_length=120)
    team = WordsField(label=_("Who plucked"), max_length=120)
    method = ChoiceStrip(label=_("How was it plucked?"), choices=METHODS, required=False)
    leaf_wet = ChoiceStrip(label=_("Was the leaf dry or wet?"), choices=((DRY, _("dry")), (WET, _("wet"))), required=False)
    plucked_until = WordsField(label=_("Plucked from and until, as 06:30-09:40"), max_length=16)
    carrier = ChoiceStrip(label=_("Who brought it?"), required=False)

    def __init__(self, *args: Any, carriers: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if carriers:
            self.fields["carrier"] = pick(_("Who brought it?"), carriers, required=False)
        else:
            del self.fields["carrier"]

    def clean_plucked_until(self) -> tuple[dt.time | None, dt.time | None]:
        """Return the clock times at which the plucking began and ended; one alone is its end."""
        typed = self.cleaned_data["plucked_until"].strip()
        clocks = [read_clock(part) for part in HOURS_BETWEEN.split(typed)] if typed else []
        if None in clocks or len(clocks) > 2:
            raise ValidationError(gettext("“%(typed)s” is not a time. Type it as 08:05.") % {"typed": typed}, code="clock")
        first = clocks[0] if len(clocks) == 2 else None
        return first, clocks[-1] if clocks else None

    def clean(self) -> dict[str, Any]:
        """Water that is deducted has a reason."""
        facts = super().clean()
        if facts.get("water_mg") and not facts.get("water_reason"):
            self.add_error("water_reason", gettext("Say why water is deducted: dew, rain, washed leaf."))
        if facts.get("water_reason") and facts.get("water_mg") is None and "water_mg" not in self.errors:
            self.add_error("water_mg", gettext("How many kilograms of water are deducted?"))
        return facts

    @property
    def plucked(self) -> Round:
        """How the leaf was plucked and came."""
        facts = self.cleaned_data
        day = facts["plucked_on"]
        hours = [timezone.make_aware(dt.datetime.combine(day, clock)) if clock else None for clock in facts["plucked_until"]]
        return Round(facts["team"], facts.get("carrier") or "", facts["method"], facts["leaf_wet"] == WET, *hours)

    @property
    def water(self) -> Deducted | None:
        """The water that is deducted."""
        mass_mg = self.cleaned_data.get("water_mg")
        return Deducted(mass_mg, self.cleaned_data["water_reason"]) if mass_mg else None


ROUND_SELDOM = {
    "water_mg": _("deducted water"), "water_reason": _("its reason"), "team": _("who plucked"), "method": _("how"),
    "leaf_wet": _("wet or dry"), "plucked_until": _("from when until when"), "carrier": _("who brought it"),
}
