"""When something happened: now, five minutes ago, or earlier with day and clock, in the mill's own time.

"Now" is the moment that the page shows beside the word. It travels with the form, so that a form that is sent twice
says the same both times.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.widgets import Drawn, one
from lots.trade.units import moment_text, time_text

NOW, RECENTLY, EARLIER = "now", "recently", "earlier"
RECENTLY_MIN = 5
# A page that lay open longer than this cannot say "now"; a clock may run ahead by this much.
PAGE_AGE_MAX = dt.timedelta(hours=12)
AHEAD_MAX = dt.timedelta(minutes=5)
_DAY = re.compile(r"(?:(\d{4})\D?)??(\d{1,2})\D?(\d{1,2})日?")
_CLOCK = re.compile(r"(\d{1,2})[:.時h ]?([0-5]\d)分?", re.IGNORECASE)


def _plain(text: str) -> str:
    return unicodedata.normalize("NFKC", text).strip()


def read_day(text: str, today: dt.date) -> dt.date | None:
    """Return the day that was typed ("2026-07-14", "7/14", "7月14日", "0714"), of this year if none is named."""
    found = _DAY.fullmatch(_plain(text))
    if found is None:
        return None
    year, month, day = found.groups()
    try:
        return dt.date(int(year) if year else today.year, int(month), int(day))
    except ValueError:
        return None


def read_clock(text: str) -> dt.time | None:
    """Return the clock time that was typed ("8:05", "0805", "8時05分"), or None."""
    found = _CLOCK.fullmatch(_plain(text))
    hour, minute = (int(part) for part in found.groups()) if found else (24, 0)
    return dt.time(hour, minute) if hour < 24 else None


@dataclass(frozen=True, slots=True)
class TypedMoment:
    """The answer to "when": choice, the moment that "now" stood for, and day and clock where they were typed."""

    choice: str = ""
    anchor: str = ""
    day: str = ""
    clock: str = ""


class MomentStrip(Drawn, forms.Widget):
    """Now, five minutes ago, or earlier with day and clock."""

    template_name = "parts/widgets/moment.html"
    use_fieldset = True

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """Return the context: what was typed, and the answers with the clock that each stands for on this page."""
        context = super().get_context(name, value, attrs)
        typed = value if isinstance(value, TypedMoment) else TypedMoment()
        context["widget"] |= {"typed": typed, "answers": answers(dt.datetime.fromisoformat(typed.anchor))}
        return context

    def format_value(self, value: Any) -> None:
        """Several inputs have no one value."""

    def value_from_datadict(self, data: Mapping[str, Any], _files: Any, name: str) -> TypedMoment:
        """Return choice, anchor, day and clock."""
        parts = (name, f"{name}_anchor", f"{name}_day", f"{name}_clock")
        return TypedMoment(*(one(data, part) for part in parts))

    def value_omitted_from_data(self, data: Mapping[str, Any], _files: Any, name: str) -> bool:
        """Tell whether the field was not on the page."""
        return name not in data


def answers(shown_at: dt.datetime) -> tuple[tuple[str, str, str, int], ...]:
    """Return value, word, clock and minutes ago of each answer on a page that was shown at this moment."""
    ago = shown_at - dt.timedelta(minutes=RECENTLY_MIN)
    return (
        (NOW, gettext("Now"), time_text(shown_at), 0),
        (RECENTLY, gettext("%(count)d minutes ago") % {"count": RECENTLY_MIN}, time_text(ago), RECENTLY_MIN),
        (EARLIER, gettext("Earlier"), "", 0),
    )


class MomentField(forms.Field):
    """A moment, cleaned to an aware datetime in the mill's zone. "Now" is preselected: the clock knows it."""

    part: ClassVar[str] = "rest"
    never_filled: ClassVar[bool] = False
    widget = MomentStrip
    default_error_messages = {
        "required": _("Say when."),
        "stale": _("This page lay open too long to say now. Choose Earlier and type the time."),
        "both": _("%(clock)s is typed, but another answer is chosen. Choose Earlier, or clear the time."),
        "day": _("“%(typed)s” is not a day. Type it as 2026-07-14."),
        "clock": _("“%(typed)s” is not a time. Type it as 08:05."),
        "clock_missing": _("Type the time as well, as 08:05."),
        "ahead": _("%(when)s has not come yet. Look at the clock and the day."),
        "gap": _("That hour was left out when the clocks changed. Type another."),
    }

    def to_python(self, value: Any) -> dt.datetime | None:
        """Return the moment that was meant."""
        typed = value if isinstance(value, TypedMoment) else TypedMoment()
        if typed.choice not in {NOW, RECENTLY, EARLIER}:
            return None
        if typed.choice == EARLIER:
            return self.not_ahead(self.earlier(typed))
        if typed.clock:
            raise ValidationError(self.error_messages["both"], code="both", params={"clock": typed.clock})
        ago_min = RECENTLY_MIN if typed.choice == RECENTLY else 0
        return self.not_ahead(self.anchored(typed)) - dt.timedelta(minutes=ago_min)

    def anchored(self, typed: TypedMoment) -> dt.datetime:
        """Return what "now" stood for on the page."""
        try:
            anchor = dt.datetime.fromisoformat(typed.anchor)
            age = timezone.now() - anchor
        except (ValueError, TypeError):
            raise ValidationError(self.error_messages["stale"], code="stale") from None
        if age > PAGE_AGE_MAX:
            raise ValidationError(self.error_messages["stale"], code="stale")
        return timezone.localtime(anchor)

    def earlier(self, typed: TypedMoment) -> dt.datetime:
        """Return the day and clock that were typed."""
        day = read_day(typed.day, timezone.localdate()) if typed.day else timezone.localdate()
        if day is None:
            raise ValidationError(self.error_messages["day"], code="day", params={"typed": typed.day})
        if not typed.clock:
            raise ValidationError(self.error_messages["clock_missing"], code="clock")
        clock = read_clock(typed.clock)
        if clock is None:
            raise ValidationError(self.error_messages["clock"], code="clock", params={"typed": typed.clock})
        wanted = dt.datetime.combine(day, clock)
        at = timezone.make_aware(wanted)
        if timezone.localtime(at.astimezone(dt.UTC)).replace(tzinfo=None) != wanted:
            raise ValidationError(self.error_messages["gap"], code="gap")
        return at

    def not_ahead(self, at: dt.datetime) -> dt.datetime:
        """Return the moment, unless it has not come yet."""
        if at - timezone.now() > AHEAD_MAX:
            when = moment_text(timezone.localtime(at))
            raise ValidationError(self.error_messages["ahead"], code="ahead", params={"when": when})
        return at

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> MomentLine:
        """Return the field as the page shows it."""
        return MomentLine(form, self, field_name)


class MomentLine(forms.BoundField):
    """The three answers with the moments that they stand for on this page."""

    def __init__(self, form: forms.BaseForm, field: forms.Field, name: str) -> None:
        super().__init__(form, field, name)
        self.shown_at = timezone.localtime()

    def value(self) -> TypedMoment:
        """Return what was typed, with "now" set anew: nothing was written from the page before."""
        typed = self.data if self.form.is_bound and isinstance(self.data, TypedMoment) else TypedMoment(choice=NOW)
        anchor = self.shown_at.isoformat(timespec="seconds")
        return TypedMoment(typed.choice, anchor, typed.day or f"{self.shown_at:%Y-%m-%d}", typed.clock)
