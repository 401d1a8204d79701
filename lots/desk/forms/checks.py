"""Forms of checks: test pieces, finds, check weights, readings of a room, grit."""

from __future__ import annotations

import csv
import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, MassField, MeasureField, MomentField, ReasonField, ScanField
from lots.desk.forms.moments import read_clock, read_day
from lots.desk.forms.plain import WordsField, pick
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import happened_field
from lots.desk.words import language
from lots.models import CheckWeight, ClimateBand, Scale
from lots.read.registers import in_force
from lots.record.climate import Reading
from lots.trade.numbers import read_number

YES, NO = "yes", "no"
PERCENT = Decimal("0.01")
CELLS = 3
LOGGER_ROWS = 6


class PieceForm(ActForm):
    """A test piece, seen or not. The two buttons of the list send this form without a moment: then it is now."""

    main_act = _("Write the test down")

    piece = ScanField(label=_("Scan the test piece"), kinds=("name",))
    seen = ChoiceStrip(label=_("Was it seen?"), choices=((YES, _("seen")), (NO, _("not seen"))))
    happened_at = MomentField(label=_("When was it sent through?"), required=False)


class FindForm(Folded):
    """What a magnet or detector took out."""

    main_act = _("Write the find down, stop the lot")
    unmarked = ("found_where", "size_mm")

    equipment = ScanField(label=_("Scan the tag of the machine"), kinds=("name",))
    lot = ScanField(label=_("Scan the lot"))
    size_mm = MeasureField(label=_("Size, in millimetres, if it was measured"), unit="mm", places=1, most=100, required=False)
    what = WordsField(label=_("What was found?"), required=True, max_length=120)
    found_where = WordsField(label=_("Where did it lie?"), max_length=120)
    happened_at = happened_field(_("When was it found?"))


class ScaleForm(ActForm):
    """What a scale shows under a check weight."""

    main_act = _("Write the check down")

    shown_mg = MassField(label=_("What the scale shows, in kilograms"), places=3)
    scale = ChoiceStrip(label=_("Which scale?"))
    weight = ChoiceStrip(label=_("Which check weight?"))
    happened_at = happened_field(_("When was it checked?"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        scales, weights = list(in_force(Scale)), list(in_force(CheckWeight))
        self.fields["scale"] = pick(_("Which scale?"), [(row.code, row.code) for row in scales])
        self.fields["weight"] = pick(_("Which check weight?"), [(row.code, row.code) for row in weights])
        if len(weights) == 1:
            self.fields["weight"].initial = weights[0].code
        places = max((row.decimals_count for row in scales), default=3)
        self.scale_places("shown_mg", places, max((Decimal(row.capacity_mg) / 1_000_000 for row in scales), default=None))


class ClearForm(ActForm):
    """The weighings before a failed check stand, and why."""

    main_act = _("They stand")

    ground = ReasonField(label=_("On what ground: weighed again, or too little to matter?"), max_length=400)
    happened_at = happened_field(_("When was it decided?"))


class LoggerField(forms.CharField):
    """Rows of a logger: day and clock, °C, per cent, with commas, semicolons or tabs between; cleaned to readings."""

    default_error_messages = {
        "row": _("Row %(number)s, “%(row)s”, is not read. A row is: 2026-07-14 08:00; 21.4; 58"),
    }

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, widget=forms.Textarea({"rows": LOGGER_ROWS}), **kwargs)

    def clean(self, value: Any) -> list[Reading]:
        """Return the readings; a heading in the first row is passed over."""
        lines = [line.strip() for line in str(super().clean(value) or "").splitlines() if line.strip()]
        found = []
        for number, line in enumerate(lines, 1):
            reading = reading_of(line)
            if reading is not None:
                found.append(reading)
            elif number > 1 or any(sign.isdigit() for sign in line):
                raise ValidationError(self.error_messages["row"], code="row", params={"number": number, "row": line[:60]})
        return found


def reading_of(line: str) -> Reading | None:
    """Return one row of a logger, or None where it is none."""
    mark = next((sign for sign in ("\t", ";", ",") if sign in line), ",")
    cells = [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]
    if len(cells) == CELLS + 1:
        cells = [f"{cells[0]} {cells[1]}", *cells[2:]]
    if len(cells) != CELLS:
        return None
    at = moment_of(cells[0])
    figures = [read_number(cell.removesuffix("%").removesuffix("°C").strip(), 1, None, "", language()).value for cell in cells[1:]]
    if at is None or None in figures:
        return None
    return Reading(figures[0], figures[1] * PERCENT, at)  # type: ignore[arg-type,operator]


def moment_of(text: str) -> dt.datetime | None:
    """Return the moment of a row in the mill's own zone."""
    day_text, _space, clock_text = text.replace("T", " ").partition(" ")
    day, clock = read_day(day_text, timezone.localdate()), read_clock(clock_text.strip()[:5])
    return timezone.make_aware(dt.datetime.combine(day, clock)) if day and clock else None


class ClimateForm(Folded):
    """The air of a room as two figures, or the rows of its logger."""

    main_act = _("Write the climate down")
    unmarked = ("temperature_c", "humidity")
    seldom = {"logger": _("rows of a logger")}

    temperature_c = MeasureField(label=_("Temperature, in °C"), unit="°C", places=1, most=60, required=False)
    humidity = MeasureField(label=_("Humidity, in per cent"), unit="%", places=1, most=100, required=False)
    room = ChoiceStrip(label=_("Which room?"))
    logger = LoggerField(label=_("Rows of a logger: moment; °C; per cent"))
    happened_at = happened_field(_("When was it read?"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rooms = list(in_force(ClimateBand))
        self.fields["room"] = pick(_("Which room?"), [(row.code, row.name) for row in rooms])
        if len(rooms) == 1:
            self.fields["room"].initial = rooms[0].code

    def clean(self) -> dict[str, Any]:
        """Two figures, or rows."""
        facts = super().clean() or self.cleaned_data
        if not facts.get("logger") and "logger" not in self.errors:
            for name in ("temperature_c", "humidity"):
                if facts.get(name) is None and name not in self.errors:
                    self.add_error(name, gettext("Type the figure."))
        return facts

    @property
    def readings(self) -> list[Reading]:
        """The readings as the recorder takes them."""
        facts = self.cleaned_data
        if facts.get("logger"):
            return list(facts["logger"])
        return [Reading(facts["temperature_c"], facts["humidity"] * PERCENT)]


class GritForm(ActForm):
    """The first tub after a dressing, looked at."""

    main_act = _("Write the grit check down")

    lot = ScanField(label=_("Scan the tub"), kinds=("lot", "name"))
    clean_powder = ChoiceStrip(label=_("What was there?"), choices=((YES, _("clean")), (NO, _("grit"))))
    looked = WordsField(label=_("How was it looked at?"), required=True, max_length=200)
    happened_at = happened_field(_("When was it looked at?"))
