"""What the bags of a delivery come to while they are typed: running total, count, mean, and the leaf for each ten ares."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.field_words import per_10_a
from lots.desk.words import decimals, joined, mass
from lots.quality.slips import odd_bags
from lots.read.fields import PlotFacts
from lots.trade.units import MG_PER_KG


def bags_text(count: int) -> str:
    """Return a count of bags."""
    return ngettext("%(count)d bag", "%(count)d bags", count) % {"count": count}


def summed(facts: dict[str, Any]) -> dict[str, Any]:
    """Return what was typed so far with the count and the sum of bags that were weighed one by one."""
    bags = facts.get("bags_mg")
    return {**facts, "bag_count": len(bags), "fresh_mg": sum(bags)} if bags else facts


def bag_words(facts: dict[str, Any]) -> str:
    """Return what the bags come to, and which of them is far off the others."""
    fresh_mg, count, bags = facts.get("fresh_mg"), facts.get("bag_count"), facts.get("bags_mg") or ()
    if not fresh_mg or not count:
        return ""
    words = {"bags": bags_text(count), "mean": decimals(fresh_mg / MG_PER_KG / count), "mass": mass(fresh_mg)}
    if not bags:
        return _("%(bags)s of %(mean)s kg.") % words
    total = _("%(mass)s in %(bags)s, %(mean)s kg each on average.") % words
    odd = [_("Bag %(number)d of %(mass)s is far off the others.") % {"number": no, "mass": mass(bags[no - 1])} for no in odd_bags(bags)]
    return joined((total, *odd))


def round_words(plot: PlotFacts, facts: dict[str, Any]) -> str:
    """Return what the plot has brought in this flush, this delivery included."""
    brought = plot.brought_mg + (facts.get("fresh_mg") or 0)
    if not brought:
        return ""
    return _("With this, flush %(flush)d of the year has brought %(mass)s, %(yield)s.") % {
        "flush": plot.flush_no, "mass": mass(brought), "yield": per_10_a(brought, plot.area_a),
    }
