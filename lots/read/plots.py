"""Everything that the book says of one plot: its versions and states, plantings, neighbours, treatments, trims, covers, flushes."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from lots.models import FieldPlot, FieldTreatment, FieldTrim, HarvestFlush, NeighbourNotice, Planting, PlotNeighbour, Shading
from lots.quality.intervals import Lawful, uses_count
from lots.quality.outlines import Corner, read_outline
from lots.read.names import LotName, lot_name, opened
from lots.read.registers import in_force
from lots.read.shading import Shaded, covers, shaded
from lots.read.treating import application, endings, lawful_of


@dataclass(frozen=True, slots=True)
class StateSpan:
    """A certification state and the day from which it holds."""

    state: str
    from_on: dt.date


@dataclass(frozen=True, slots=True)
class Flush:
    """The leaf of one flush of one year: when, in how many bags and deliveries, its mass, and the shade before its first day."""

    year: int
    flush_no: int
    first_on: dt.date
    last_on: dt.date
    bag_count: int
    mass_mg: int
    lots: tuple[LotName, ...]
    shade: Shaded | None


@dataclass(frozen=True, slots=True)
class Used:
    """A treatment, and the how-manieth use of its product it was in its plucking period."""

    row: FieldTreatment
    use_no: int


@dataclass(frozen=True, slots=True)
class PlotBook:
    """One plot on one day. ``corners`` are empty where no outline is entered or its value was erased."""

    plot: FieldPlot
    on: dt.date
    grower: str
    place: str
    corners: tuple[Corner, ...]
    states: tuple[StateSpan, ...]
    plantings: tuple[Planting, ...]
    neighbours: tuple[PlotNeighbour, ...]
    notices: tuple[NeighbourNotice, ...]
    treatments: tuple[Used, ...]
    trims: tuple[FieldTrim, ...]
    covers: tuple[Shading, ...]
    flushes: tuple[Flush, ...]
    lawful: Lawful | None

    @property
    def state(self) -> StateSpan | None:
        """The state on the day; None for a day before the first that the book knows."""
        return state_on(self.states, self.on)


def state_on(states: Sequence[StateSpan], on: dt.date) -> StateSpan | None:
    """Return the state of a day."""
    return next((span for span in reversed(states) if span.from_on <= on), None)


def states_of(code: str) -> tuple[StateSpan, ...]:
    """Return the states of a plot in order of time: from the day that a version names, else from the day of the version."""
    found: list[StateSpan] = []
    for row in FieldPlot.objects.filter(code=code).order_by("version"):
        from_on = row.state_from_on or timezone.localtime(row.valid_from_at).date()
        if not found or row.state != found[-1].state:
            entered_on = timezone.localtime(row.valid_from_at).date()
            same_day = bool(found) and from_on <= found[-1].from_on
            found.append(StateSpan(row.state, entered_on if same_day else from_on))
        elif row.state_from_on and row.state_from_on < found[-1].from_on:
            found[-1] = StateSpan(row.state, row.state_from_on)
    return tuple(found)


def plot_book(code: str, on: dt.date) -> PlotBook | None:
    """Return the book of a plot on a day; None where the register has no such plot."""
    plot = FieldPlot.objects.filter(code=code).select_related("grower").order_by("-version").first()
    if plot is None:
        return None
    sealed = opened([plot.place, plot.outline, plot.grower.name if plot.grower else ""])
    laid = covers([code])
    return PlotBook(
        plot, on, sealed.get(plot.grower.name, "") if plot.grower else "", sealed.get(plot.place, ""),
        read_outline(sealed[plot.outline]) if plot.outline in sealed else (), states_of(code),
        tuple(in_force(Planting).filter(plot__code=code).select_related("cultivar")),
        tuple(in_force(PlotNeighbour).filter(plot__code=code)), notices_of(code), used(code), trims_of(code),
        tuple(row for rows in laid.values() for row in rows), flushes_of(code, laid), lawful_of(code, on),
    )


def notices_of(code: str) -> tuple[NeighbourNotice, ...]:
    """Return what neighbours of a plot said that they spray, the newest first."""
    rows = NeighbourNotice.objects.filter(plot__code=code).exclude(step__corrected_by__part="reverse")
    return tuple(rows.select_related("neighbour").order_by("-sprays_on", "-pk"))


def trims_of(code: str) -> tuple[FieldTrim, ...]:
    """Return the trims of a plot, the newest first."""
    return tuple(FieldTrim.objects.filter(plot__code=code).exclude(step__corrected_by__part="reverse").order_by("-trimmed_on", "-pk"))


def used(code: str) -> tuple[Used, ...]:
    """Return the treatments of a plot, the newest first, each with its number of use since the plucking before it."""
    rows = FieldTreatment.objects.filter(plot__code=code).exclude(step__corrected_by__part="reverse")
    stand = list(rows.select_related("operator").order_by("applied_on", "pk"))
    all_of_them, ends = [application(row) for row in stand], endings(code)
    return tuple(
        Used(row, uses_count(all_of_them[: place + 1], row.product, ends, row.applied_on)) for place, row in enumerate(stand)
    )[::-1]


def flushes_of(code: str, laid: dict[tuple[str, int], list[Shading]]) -> tuple[Flush, ...]:
    """Return the flushes of a plot, the newest first."""
    rows = HarvestFlush.objects.filter(plot__code=code).exclude(step__corrected_by__part="reverse")
    groups: dict[tuple[int, int], list[HarvestFlush]] = defaultdict(list)
    for row in rows.prefetch_related("step__opened").order_by("plucked_on", "pk"):
        groups[row.plucked_on.year, row.flush_no].append(row)
    found = [flush_of(key, group, laid.get((code, key[1]), [])) for key, group in groups.items()]
    return tuple(sorted(found, key=lambda one: one.first_on, reverse=True))


def flush_of(key: tuple[int, int], rows: list[HarvestFlush], laid: list[Shading]) -> Flush:
    """Return one flush."""
    lots = [lot for row in rows for lot in row.step.opened.all()]
    first = rows[0].plucked_on
    return Flush(
        *key, first, rows[-1].plucked_on, sum(row.bag_count for row in rows), sum(lot.mass_mg for lot in lots),
        tuple(lot_name(lot) for lot in lots), shaded(laid, first),
    )
