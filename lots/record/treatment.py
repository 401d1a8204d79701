"""Treatment: what was put on a plot, and from which day it may be plucked; what a neighbour puts on beside it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import FieldPlot, FieldTreatment, NeighbourNotice, PlotNeighbour, Staff
from lots.quality.intervals import Application, uses_count
from lots.read.treating import applications, endings
from lots.record.acts import act
from lots.record.early import hold_plucked_since
from lots.record.errors import Refused
from lots.record.field_words import field_word
from lots.record.writing import Writing

#: No label asks for more than ten years.
INTERVAL_MOST_DAYS = 3_650


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
    kind: str = FieldTreatment.Kind.PESTICIDE,
    water_l_per_10_a: Decimal | None = None,
    uses_most_count: int | None = None,
    batch: str = "",
    operator: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a treatment or fertiliser with the interval that its label asks for. A use more than the label allows between
    two pluckings is questioned: it was put on. Leaf that came in before a treatment that is entered late is held."""
    must_make_sense(product, interval_days, water_l_per_10_a, uses_most_count)
    step = w.step("treatment", "apply", happened_at)
    if applied_on > timezone.localtime(step.happened_at).date():
        msg = _("%(day)s has not come yet. Type the day on which it was applied.")
        raise Refused(msg % {"day": applied_on}, "applied_on")
    field = w.in_force(FieldPlot, plot, "plots", "plot")
    used = Application(step.pk, applied_on, product.strip(), interval_days, substance, uses_most_count)
    ask_about_uses(w, field, used)
    hold_plucked_since(w, field, used)
    w.add(FieldTreatment(
        step=step, plot=field, applied_on=applied_on, product=used.product, substance=substance, dose=dose,
        interval_days=interval_days, kind=kind, water_l_per_10_a=water_l_per_10_a, uses_most_count=uses_most_count, batch=batch,
        operator=w.in_force(Staff, operator, "staff", "operator") if operator else None,
    ))


def must_make_sense(product: str, interval_days: int, water_l: Decimal | None, uses_most_count: int | None) -> None:
    """Refuse what no packet says."""
    if not product.strip():
        raise Refused(_("The product's name is missing. Copy it from the packet."), "product")
    if interval_days < 0:
        raise Refused(_("The days until plucking cannot be below nothing."), "interval_days")
    if interval_days > INTERVAL_MOST_DAYS:
        words = {"field": field_word("interval_days"), "least": "0", "most": f"{INTERVAL_MOST_DAYS:,}"}
        raise Refused(_("%(field)s must lie between %(least)s and %(most)s.") % words, "interval_days")
    if water_l is not None and water_l < 0:
        raise Refused(_("The water cannot be below nothing."), "water_l_per_10_a")
    if uses_most_count is not None and uses_most_count < 1:
        raise Refused(_("The label allows at least one use, or says nothing."), "uses_most_count")


def ask_about_uses(w: Writing, plot: FieldPlot, used: Application) -> None:
    """Ask where a product was put on more often than its label allows between two pluckings."""
    before = applications([plot.code])[plot.code]
    count = uses_count([*before, used], used.product, endings(plot.code), used.applied_on)
    most = used.uses_most_count
    if most is not None and count > most:
        msg = _("%(product)s on %(plot)s: use number %(count)d since the last plucking, and the label allows %(most)d.")
        w.question(msg % {"count": count, "product": used.product, "plot": plot.name, "most": most}, "uses_most_count")


@act("treatment.notice")
def notice(
    w: Writing,
    *,
    plot: str,
    sprays_on: dt.date,
    neighbour: str = "",
    product: str = "",
    kept_apart: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record that a neighbour sprays beside a plot; the day may lie ahead, because signs stand days before."""
    step = w.step("treatment", "notice", happened_at)
    field = w.in_force(FieldPlot, plot, "plots", "plot")
    beside = w.in_force(PlotNeighbour, neighbour, "neighbours", "neighbour") if neighbour else None
    if beside is not None and beside.plot.code != field.code:
        msg = _("%(neighbour)s lies beside plot %(other)s, not beside %(plot)s. Choose again.")
        raise Refused(msg % {"neighbour": beside.code, "other": beside.plot.code, "plot": field.code}, "neighbour")
    w.add(NeighbourNotice(
        step=step, plot=field, neighbour=beside, sprays_on=sprays_on, product=product.strip(), kept_apart=kept_apart.strip(),
    ))
