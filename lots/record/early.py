"""Leaf that was plucked before a treatment's interval had passed: asked about once, taken, and held by rule in the same act."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import FieldPlot, Hold, Lot
from lots.quality.intervals import Application, first_day, too_early
from lots.read.treating import applications
from lots.record.writing import Writing

REASON_MAX = 400


def hold_too_early(w: Writing, plot: FieldPlot, lot: Lot, plucked_on: dt.date) -> None:
    """Ask about leaf that was plucked too early and hold its lot: it was plucked, somebody must say why, and nothing of it
    goes out until the quality lead releases it."""
    early = too_early(applications([plot.code])[plot.code], plucked_on)
    if not early:
        return
    said = " ".join(treated(plot, one) for one in early)
    tail = _("This leaf was plucked on %(plucked)s. The lot is held until the quality lead releases it.") % {"plucked": plucked_on}
    w.question(f"{said} {tail}", "plucked_on")
    hold(w, lot, plucked_on, said)


def hold_plucked_since(w: Writing, plot: FieldPlot, used: Application) -> None:
    """Ask about a treatment that is entered late, after leaf had been plucked before its interval had passed, and hold that
    leaf. What was plucked on the very day is taken to have come before it."""
    rows = Lot.objects.filter(
        step__harvestflush__plot__code=plot.code, step__harvestflush__plucked_on__gt=used.applied_on,
        step__harvestflush__plucked_on__lt=first_day(used),
    ).exclude(step__corrected_by__part="reverse").select_related("step__harvestflush").order_by("pk")
    lots = list(rows)
    if not lots:
        return
    said = treated(plot, used)
    tail = _("Leaf was plucked before that day. These lots are held until the quality lead releases them: %(lots)s.")
    w.question(f"{said} {tail % {'lots': ', '.join(str(lot) for lot in lots)}}", "applied_on")
    for lot in lots:
        w.touch(lot)
        hold(w, lot, lot.step.harvestflush.plucked_on, said)


def treated(plot: FieldPlot, one: Application) -> str:
    """Return what was put on a plot and from which day it may be plucked."""
    msg = _("%(plot)s was treated with %(product)s on %(treated)s; it may be plucked from %(first)s.")
    return msg % {"plot": plot.name, "product": one.product, "treated": one.applied_on, "first": first_day(one)}


def hold(w: Writing, lot: Lot, plucked_on: dt.date, said: str) -> None:
    """Hold a lot with the rule as its reason."""
    why = _("Plucked on %(plucked)s, before the interval had passed. %(said)s") % {"plucked": plucked_on, "said": said}
    w.add(Hold(lot=lot, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=why[:REASON_MAX]))
