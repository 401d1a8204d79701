"""What the book knows of a plot before its leaf comes in: what stands there, the cover, and when it may be plucked."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Sum

from lots.models import FieldPlot, FieldTreatment, HarvestFlush, Lot, Planting, Shading
from lots.read.names import opened
from lots.read.registers import in_force

# A cover belongs to the plucking that follows it within this time; a round of plucking ends when this long passed.
COVER_KEPT_DAYS = 120
ROUND_DAYS = 20


@dataclass(frozen=True, slots=True)
class PlotFacts:
    """A plot today. ``plantings`` are (code, name) of its cultivars; ``covered_days`` None where no cover is in the
    book; ``lawful_from_on`` is the first day on which every interval has passed, ``lawful_by`` the product that sets it."""

    code: str
    name: str
    area_a: float
    state: str
    grower: str
    plantings: tuple[tuple[str, str], ...]
    flush_no: int
    covered_on: dt.date | None
    covered_days: int | None
    lawful_from_on: dt.date | None
    lawful_by: str
    brought_mg: int


def plot_facts(plot: FieldPlot, on: dt.date) -> PlotFacts:
    """Return what is known of a plot on a day."""
    flush_no = next_flush(plot.code, on)
    cover = cover_of(plot.code, on)
    spray = last_interval(plot.code, on)
    grower = opened([plot.grower.name]) if plot.grower else {}
    return PlotFacts(
        plot.code, plot.name, float(plot.area_a), plot.state, next(iter(grower.values()), ""), plantings_of(plot.code),
        flush_no, cover.covered_on if cover else None, days_covered(cover, on), spray[0] if spray else None,
        spray[1] if spray else "", brought_mg(plot.code, flush_no, on),
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


def cover_of(plot: str, on: dt.date) -> Shading | None:
    """Return the cover that belongs to a plucking on this day."""
    since = on - dt.timedelta(days=COVER_KEPT_DAYS)
    rows = Shading.objects.filter(plot__code=plot, covered_on__lte=on, covered_on__gt=since)
    return rows.exclude(step__corrected_by__part="reverse").order_by("-covered_on", "-pk").first()


def days_covered(cover: Shading | None, on: dt.date) -> int | None:
    """Return how many days a cover has lain on this day."""
    if cover is None:
        return None
    return (min(cover.uncovered_on or on, on) - cover.covered_on).days


def last_interval(plot: str, on: dt.date) -> tuple[dt.date, str] | None:
    """Return the first day on which all intervals have passed, and the product that sets it."""
    rows = FieldTreatment.objects.filter(plot__code=plot, applied_on__lte=on).exclude(step__corrected_by__part="reverse")
    days = [(row.applied_on + dt.timedelta(days=row.interval_days), row.product) for row in rows if row.interval_days]
    return max(days, default=None)


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
    """Return every plot as it stands on a day, in three queries."""
    since = on - dt.timedelta(days=COVER_KEPT_DAYS)
    rounds = HarvestFlush.objects.filter(plucked_on__lte=on).order_by("plucked_on")
    plucked = dict(rounds.values_list("plot__code", "plucked_on"))
    laid = Shading.objects.filter(covered_on__lte=on, covered_on__gt=since).exclude(step__corrected_by__part="reverse")
    covers = {
        row.plot.code: row
        for row in laid.select_related("plot").order_by("covered_on", "pk")
        if row.covered_on > plucked.get(row.plot.code, dt.date.min)
    }
    sprays: dict[str, tuple[dt.date, str]] = {}
    put = FieldTreatment.objects.filter(applied_on__lte=on, interval_days__gt=0)
    for row in put.exclude(step__corrected_by__part="reverse").select_related("plot"):
        until = (row.applied_on + dt.timedelta(days=row.interval_days), row.product)
        sprays[row.plot.code] = max(until, sprays.get(row.plot.code, until))
    return [plot_day(plot, covers.get(plot.code), sprays.get(plot.code), on) for plot in in_force(FieldPlot)]


def plot_day(plot: FieldPlot, cover: Shading | None, spray: tuple[dt.date, str] | None, on: dt.date) -> PlotDay:
    """Return one plot of the list; an interval that has passed is left out."""
    stops = spray if spray and spray[0] > on else None
    return PlotDay(
        plot.code, plot.name, float(plot.area_a), plot.state, cover.covered_on if cover else None,
        days_covered(cover, on), stops[0] if stops else None, stops[1] if stops else "",
    )
