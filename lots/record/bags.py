"""The bags of a delivery against each other, against the plot's usual bag, and its flush against the plot's own history."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import FieldPlot
from lots.quality.slips import kg_per_10_a, mean_is_odd, odd_bags, usual_bag_mg, yield_is_odd
from lots.read.bags import bag_means_mg, flushes_mg
from lots.record.words import kg
from lots.record.writing import Writing

BAG_KG_LEAST, BAG_KG_MOST = 5, 45
ODD_SAID_MOST = 3


def ask_about_bags(
    w: Writing, plot: FieldPlot, fresh_mg: int, bags_mg: Sequence[float], flush_no: int, plucked_on: dt.date,
) -> None:
    """Ask about everything in a delivery that is more likely a slip of the scale or the pen than leaf."""
    mean_mg = fresh_mg / len(bags_mg)
    ask_about_mean(w, plot, fresh_mg, len(bags_mg), mean_mg)
    odd = odd_bags([round(bag) for bag in bags_mg])
    for number in odd[:ODD_SAID_MOST]:
        msg = _("Bag %(number)d of %(mass)s kg is far off the others. Weigh it again.")
        w.question(msg % {"number": number, "mass": kg(round(bags_mg[number - 1]), 2)}, "bags_mg")
    ask_about_yield(w, plot, fresh_mg, flush_no, plucked_on)


def ask_about_mean(w: Writing, plot: FieldPlot, fresh_mg: int, count: int, mean_mg: float) -> None:
    """Ask when a bag would be lighter or heavier than a person carries (common practice, no source), or far off the bags
    that this plot's deliveries usually have."""
    words = {"mass": kg(fresh_mg, 2), "bags": count, "mean": f"{mean_mg / 1e6:.1f}", "plot": plot.name}
    usual_mg = usual_bag_mg(bag_means_mg(plot.code))
    if not BAG_KG_LEAST * 1e6 <= mean_mg <= BAG_KG_MOST * 1e6:
        w.question(_("%(mass)s kg in %(bags)s bags is %(mean)s kg a bag. Look at the slip again.") % words, "fresh_mg")
    elif usual_mg is not None and mean_is_odd(mean_mg, usual_mg):
        msg = _("%(mean)s kg a bag, and bags of %(plot)s usually weigh %(usual)s kg. Look at the count and the mass again.")
        w.question(msg % {**words, "usual": f"{usual_mg / 1e6:.1f}"}, "fresh_mg")


def ask_about_yield(w: Writing, plot: FieldPlot, fresh_mg: int, flush_no: int, plucked_on: dt.date) -> None:
    """Ask when a flush brings far more for each ten ares than the plot ever brought in such a one or an earlier one of a year:
    the first flush is the largest."""
    if plot.area_a <= 0:
        return
    area_a, before = float(plot.area_a), flushes_mg(plot.code)
    this_mg = before.pop((plucked_on.year, flush_no), 0) + fresh_mg
    ever = [kg_per_10_a(mass_mg, area_a) for (_year, number), mass_mg in before.items() if number <= flush_no]
    now = kg_per_10_a(this_mg, area_a)
    if yield_is_odd(now, ever):
        msg = _("With this, %(plot)s comes to %(now)s kg per 10 a in this flush; the most it ever brought in one is %(most)s.")
        w.question(msg % {"plot": plot.name, "now": f"{now:.0f}", "most": f"{max(ever):.0f}"}, "fresh_mg")
