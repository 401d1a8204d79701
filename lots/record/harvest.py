"""Leaf in: a delivery of fresh leaf from one plot and cultivar."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Cultivar, FieldPlot, FieldTreatment, HarvestFlush
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import Lines, Moisture, Weight, must_weigh
from lots.record.words import kg, material_word
from lots.record.writing import Writing

BAG_KG_LEAST, BAG_KG_MOST = 5, 45


@act("harvest.intake")
def intake(
    w: Writing,
    *,
    plot: str,
    cultivar: str,
    flush_no: int,
    plucked_on: dt.date,
    bag_count: int,
    fresh: Weight,
    moisture: Moisture | None = None,
    basis: str = "wet",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Take in fresh leaf: opens one lot. The plucking day is checked against treatments, the mass against the bags."""
    field = w.in_force(FieldPlot, plot, "plots", "plot")
    if flush_no < 1:
        raise Refused(_("The flush counts from 1: type 1 for the first flush."), "flush_no")
    if bag_count < 1:
        raise Refused(_("How many bags came? At least one."), "bag_count")
    must_weigh(fresh.mass_mg, material_word("fresh_leaf"))
    ask_about_bags(w, fresh.mass_mg, bag_count)
    ask_about_interval(w, field, plucked_on)
    step = w.step("harvest", "intake", happened_at)
    if plucked_on > timezone.localtime(step.happened_at).date():
        msg = _("The leaf cannot be in before it is plucked (%(day)s). Look at the date.")
        raise Refused(msg % {"day": plucked_on}, "plucked_on")
    Lines(w, step).open("fresh_leaf", fresh, moisture, maker_ref)
    w.add(HarvestFlush(
        step=step, plot=field, cultivar=w.in_force(Cultivar, cultivar, "cultivars", "cultivar"), flush_no=flush_no,
        plucked_on=plucked_on, bag_count=bag_count, basis=basis,
    ))


def ask_about_bags(w: Writing, fresh_mg: int, bag_count: int) -> None:
    """Ask when a bag would be lighter or heavier than a person carries (common practice, no source)."""
    mean_kg = fresh_mg / 1e6 / bag_count
    if not BAG_KG_LEAST <= mean_kg <= BAG_KG_MOST:
        msg = _("%(mass)s kg in %(bags)s bags is %(mean)s kg a bag. Look at the slip again.")
        w.question(msg % {"mass": kg(fresh_mg, 2), "bags": bag_count, "mean": f"{mean_kg:.1f}"}, "fresh_mg")


def ask_about_interval(w: Writing, plot: FieldPlot, plucked_on: dt.date) -> None:
    """Ask when leaf was plucked before a treatment's interval had passed: it was plucked, but somebody must say why."""
    rows = FieldTreatment.objects.filter(plot__code=plot.code, applied_on__lte=plucked_on).exclude(step__corrected_by__part="reverse")
    for row in rows.order_by("-applied_on"):
        first = row.applied_on + dt.timedelta(days=row.interval_days)
        if plucked_on < first:
            msg = _(
                "%(plot)s was treated with %(product)s on %(treated)s; it may be plucked from %(first)s. "
                "This leaf was plucked on %(plucked)s. Hold the lot until the quality lead has seen it."
            )
            words = {"plot": plot.name, "product": row.product, "treated": row.applied_on, "first": first, "plucked": plucked_on}
            w.question(msg % words, "plucked_on")
