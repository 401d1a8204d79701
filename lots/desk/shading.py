"""Shading: a cover over a plot."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.forms.field import ShadingForm
from lots.desk.harvest import plot_sentence
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import code_in
from lots.desk.words import language
from lots.models import FieldPlot, Shading
from lots.read.fields import plot_facts
from lots.read.recent import Recent, recent
from lots.read.registers import named
from lots.record import shading
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text


class FieldView(ActView):
    """A screen that begins with the card of a plot."""

    door = "field"
    day = ""

    def linked(self) -> dict[str, str]:
        """The clock knows today."""
        return {self.day: timezone.localdate().isoformat(), **super().linked()}

    def so_far(self, _form: Any, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which plot it is and how it stands."""
        scanned, on = facts.get("plot"), timezone.localdate()
        plot = named(FieldPlot, scanned.typed) if scanned else None
        if plot is not None:
            return {"reads": {"plot": plot_sentence(plot_facts(plot, on), on)}}
        return {"reads": {"plot": _("No plot %(code)s is in the register.") % {"code": scanned.typed} if scanned else ""}}


class ShadingView(FieldView):
    """A cover that was laid, or came off."""

    form_class = ShadingForm
    template_name = "desk/field_shading.html"
    page = "field-shading"
    day = "covered_on"

    def write(self, act: Act, form: ShadingForm) -> Receipt:
        """Write the cover down; it happened on the last day that is named."""
        facts = form.cleaned_data
        rate = facts["rate_frac"]
        return shading.cover(
            act, plot=code_in(FieldPlot, facts["plot"]), flush_no=int(facts["flush_no"]), covered_on=facts["covered_on"],
            uncovered_on=facts["uncovered_on"], layer_count=facts["layer_count"] or 1,
            rate_frac=None if rate is None else rate / Decimal(100), kind=facts["kind"],
            material=facts["material"], leaf_stage=facts["leaf_stage"],
            happened_at=start_of(facts["uncovered_on"] or facts["covered_on"]),
        )

    def said(self, _receipt: Receipt, form: ShadingForm) -> str:
        """Return what was written."""
        facts = form.cleaned_data
        until = facts["uncovered_on"]
        words = {"plot": code_in(FieldPlot, facts["plot"]), "day": date_text(facts["covered_on"], language())}
        if until is None:
            return _("Plot %(plot)s is under cover since %(day)s.") % words
        return _("Plot %(plot)s was under cover for %(days)d days from %(day)s.") % {**words, "days": (until - facts["covered_on"]).days}

    def context(self) -> dict[str, Any]:
        """Return the last covers."""
        steps = recent("shading", ("cover",))
        rows = Shading.objects.select_related("plot").in_bulk([step.step for step in steps])
        return {"recorded": [cover_line(step, rows[step.step]) for step in steps]}


def start_of(day: dt.date) -> dt.datetime:
    """Return the moment at which a day begins at the mill."""
    return timezone.make_aware(dt.datetime.combine(day, dt.time()))


def cover_line(step: Recent, row: Shading) -> Line:
    """Return one cover as an entry."""
    until = _("until %(day)s") % {"day": date_text(row.uncovered_on, language())} if row.uncovered_on else _("still on")
    sentence = _("Since %(day)s, %(until)s.") % {"day": date_text(row.covered_on, language()), "until": until}
    return step_line(step, _("%(plot)s.") % {"plot": row.plot.name}, sentence)
