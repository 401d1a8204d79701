"""Treatments of plots as the intervals need them, the pluckings and trims between which uses are counted, and the list that
is looked at before the pickers go out."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from lots.models import FieldPlot, FieldTreatment, FieldTrim, HarvestFlush, NeighbourNotice
from lots.quality.intervals import Application, Lawful, earliest_lawful
from lots.read.registers import in_force

#: A neighbour's notice is told from so many days before its day until so many after it (signs stand ten days ahead).
NOTICE_DAYS = 10


def applications(plots: Iterable[str] | None = None) -> dict[str, list[Application]]:
    """Return the standing treatments of plots (of all where none are named), by plot."""
    rows = FieldTreatment.objects.exclude(step__corrected_by__part="reverse").select_related("plot").order_by("applied_on", "pk")
    if plots is not None:
        rows = rows.filter(plot__code__in=list(plots))
    found: dict[str, list[Application]] = defaultdict(list)
    for row in rows:
        found[row.plot.code].append(application(row))
    return found


def application(row: FieldTreatment) -> Application:
    """Return a treatment as the intervals see it."""
    return Application(row.pk, row.applied_on, row.product, row.interval_days, row.substance, row.uses_most_count)


def endings(plot: str) -> list[dt.date]:
    """Return the days that end a plucking period of a plot: pluckings, and trims as deep as one."""
    plucked = HarvestFlush.objects.filter(plot__code=plot).exclude(step__corrected_by__part="reverse")
    trimmed = FieldTrim.objects.filter(plot__code=plot, as_plucking=True).exclude(step__corrected_by__part="reverse")
    days = {*plucked.values_list("plucked_on", flat=True), *trimmed.values_list("trimmed_on", flat=True)}
    return sorted(days)


def lawful_of(plot: str, on: dt.date) -> Lawful | None:
    """Return the earliest lawful plucking day of a plot as known on a day."""
    return earliest_lawful(applications([plot])[plot], on)


@dataclass(frozen=True, slots=True)
class MayPluck:
    """One plot in the list: from which day it may be plucked, what decides it, the days left, and a neighbour's notice."""

    code: str
    name: str
    from_on: dt.date | None
    decided_by: str
    applied_on: dt.date | None
    interval_days: int
    left_days: int
    is_open: bool
    notices: tuple[NeighbourNotice, ...]


def may_pluck(on: dt.date) -> list[MayPluck]:
    """Return every plot in use with its earliest lawful plucking day, those that must wait longest first."""
    treated, told = applications(), notices(on)
    found = [line_of(plot, earliest_lawful(treated.get(plot.code, []), on), told.get(plot.code, []), on) for plot in in_force(FieldPlot)]
    return sorted(found, key=lambda one: (-one.left_days, one.code))


def line_of(plot: FieldPlot, lawful: Lawful | None, told: list[NeighbourNotice], on: dt.date) -> MayPluck:
    """Return one plot of the list."""
    if lawful is None:
        return MayPluck(plot.code, plot.name, None, "", None, 0, 0, is_open=True, notices=tuple(told))
    by = lawful.decided_by
    return MayPluck(
        plot.code, plot.name, lawful.from_on, by.product, by.applied_on, by.interval_days, lawful.days_left(on), lawful.is_open(on),
        tuple(told),
    )


def notices(on: dt.date) -> dict[str, list[NeighbourNotice]]:
    """Return what neighbours spray about a day, by plot."""
    span = dt.timedelta(days=NOTICE_DAYS)
    rows = NeighbourNotice.objects.filter(sprays_on__gte=on - span, sprays_on__lte=on + span)
    found: dict[str, list[NeighbourNotice]] = defaultdict(list)
    for row in rows.exclude(step__corrected_by__part="reverse").select_related("plot", "neighbour").order_by("sprays_on", "pk"):
        found[row.plot.code].append(row)
    return found
