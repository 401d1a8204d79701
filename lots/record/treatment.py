"""Treatment: what was put on a plot, and from which day it may be plucked."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import FieldPlot, FieldTreatment
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.writing import Writing


@act("treatment.apply")
def apply(
    w: Writing,
    *,
    plot: str,
    applied_on: dt.date,
    product: str,
    substance: str = "",
    dose: str = "",
    interval_days: int = 0,
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a treatment or fertiliser with the interval that its label asks for."""
    if not product.strip():
        raise Refused(_("The product's name is missing. Copy it from the packet."), "product")
    if interval_days < 0:
        raise Refused(_("The days until plucking cannot be below nothing."), "interval_days")
    step = w.step("treatment", "apply", happened_at)
    if applied_on > timezone.localtime(step.happened_at).date():
        msg = _("%(day)s has not come yet. Type the day on which it was applied.")
        raise Refused(msg % {"day": applied_on}, "applied_on")
    w.add(FieldTreatment(
        step=step, plot=w.in_force(FieldPlot, plot, "plots", "plot"), applied_on=applied_on, product=product.strip(),
        substance=substance, dose=dose, interval_days=interval_days,
    ))
