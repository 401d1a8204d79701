"""What the book knows of a plot before its leaf comes in: what stands there, the cover, and when it may be plucked."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Sum

from lots.models import FieldPlot, HarvestFlush, Lot, Planting, Shading
from lots.quality.intervals import Lawful, earliest_lawful
from lots.quality.shading import Shade
from lots.read.names import opened
from lots.read.registers import in_force
from lots.read.shading import Shaded, covers, shaded, shaded_before
from lots.read.treating import applications, lawful_of

# A round of plucking ends when this long passed.
ROUND_DAYS = 20


@dataclass(frozen=True, slots=True)
class PlotFacts:
    """A plot today. ``plantings`` are (code, name) of its cultivars; ``shade`` None where no cover is in the
    book; ``lawful_from_on`` is the first day on which every interval has passed, ``lawful_by`` the product that sets it."""

    code: str
    name: str
    area_a: float
    state: str
    grower: str
    plantings: tuple[tuple[str, str], ...]
    flush_no: int
    covered_on: dt.date | None
    shade: Shade | None
    lawful_from_on: dt.date | None
    lawful_by: str
    brought_mg: int


def plot_facts(plot: FieldPlot, on: dt.date) -> PlotFacts:
    """Return what is known of a plot on a day."""
    flush_no = next_flush(plot.code, on)
    lain = shaded_before(plot.code, flush_no, on)
    lawful = lawful_of(plot.code, on)
    grower = opened([plot.grower.name]) if plot.grower else {}
    return PlotFacts(
        plot.code, plot.name, float(plot.area_a), plot.state, next(iter(grower.values()), ""), plantings_of(plot.code),
        flush_no, lain.days.covered_on if lain else None, lain.days if lain else None, lawful.from_on if lawful else None,
        lawful.decided_by.product if lawful else "", brought_mg(plot.code, flush_no, on),
    )


def plantings_of(plot: str) -> tuple[tuple[str, str], ...]:
    """Return code and name of the cultivars that stand on a plot."""
    rows = in_force(Planting).filter(plot__code=plot).select_related("cultivar").order_by("-area_a")
    return tuple(dict.fromkeys((row.cultivar.code, row.cultivar.name) for row in rows))


def next_flush(plot: str, on: dt.date) -> int:
    """Return which round a plucking on this day belongs to: the same as the last within its days, else the next."""
    this_year = HarvestFlush.objects.filter(plot__code=plot, plucked_on__year=on.year, plucked_on__lte=on)
    last = this_year.exclude(step__corrected_by__part="reverse").order_by("-plucked_on").first()
    if last is None:
        return 1
    return last.flush_no if (on - last.plucked_on).days <= ROUND_DAYS else last.flush_no + 1


def brought_mg(plot: str, flush_no: int, on: dt.date) -> int:
    """Return how much fresh leaf this plot has brought in this round of this year."""
    rows = Lot.objects.filter(
        step__harvestflush__plot__code=plot, step__harvestflush__flush_no=flush_no,
        step__harvestflush__plucked_on__year=on.year,
    ).exclude(step__corrected_by__part="reverse")
    return int(rows.aggregate(sum=Sum("mass_mg"))["sum"] or 0)


@dataclass(frozen=True, slots=True)
class PlotDay:
    """A plot in the list of all plots: under cover since when, and from which day it may be plucked."""

    code: str
    name: str
    area_a: float
    state: str
    covered_on: dt.date | None
    covered_days: int | None
    lawful_from_on: dt.date | None
    lawful_by: str


def all_plots(on: dt.date) -> list[PlotDay]:
    """Return every plot as it stands on a day, in a few queries."""
    rounds = HarvestFlush.objects.filter(plucked_on__lte=on).exclude(step__corrected_by__part="reverse").order_by("plucked_on")
    plucked = dict(rounds.values_list("plot__code", "plucked_on"))
    plots = list(in_force(FieldPlot))
    laid: dict[str, list[Shading]] = defaultdict(list)
    for (plot, _), rows in covers([plot.code for plot in plots]).items():
        laid[plot] += rows
    treated = applications()
    return [
        plot_day(plot, shaded(laid[plot.code], on, plucked.get(plot.code)), earliest_lawful(treated.get(plot.code, ()), on), on)
        for plot in plots
    ]


def plot_day(plot: FieldPlot, lain: Shaded | None, lawful: Lawful | None, on: dt.date) -> PlotDay:
    """Return one plot of the list; an interval that has passed is left out."""
    stops = lawful if lawful and not lawful.is_open(on) else None
    return PlotDay(
        plot.code, plot.name, float(plot.area_a), plot.state, lain.days.covered_on if lain else None,
        lain.days.covered_days if lain else None, stops.from_on if stops else None, stops.decided_by.product if stops else "",
    )
