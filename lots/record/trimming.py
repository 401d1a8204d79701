"""Trim: a plot is cut back; a trim as deep as a plucking ends a plucking period, so that uses of a product count anew."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import FieldPlot, FieldTrim
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.writing import Writing


@act("trimming.trim")
def trim(w: Writing, *, plot: str, trimmed_on: dt.date, as_plucking: bool, happened_at: dt.datetime | None = None) -> None:
    """Record a trim and whether it went as deep as a plucking."""
    step = w.step("trimming", "trim", happened_at)
    if trimmed_on > timezone.localtime(step.happened_at).date():
        msg = _("%(day)s has not come yet. Type the day on which it was trimmed.")
        raise Refused(msg % {"day": trimmed_on}, "trimmed_on")
    w.add(FieldTrim(step=step, plot=w.in_force(FieldPlot, plot, "plots", "plot"), trimmed_on=trimmed_on, as_plucking=as_plucking))
