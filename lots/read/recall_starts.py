"""Where a recall begins: a lot, the leaf of a plot, a stone pair in a span of time, one pack, or a packaging lot."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import Q

from lots.models import FieldPlot, HarvestFlush, Lot, MillingTub, Step, StonePair
from lots.read.balances import not_taken_back
from lots.read.finding import Found, Kind
from lots.read.machines import IN_CONTACT
from lots.read.names import lot_name
from lots.read.packaging import packaging_of, packed_in, same_packaging
from lots.read.registers import newest
from lots.read.tracing import first_draws


class Begin(StrEnum):
    """What a recall begins at."""

    LOT = "lot"
    PLOT = "plot"
    PAIR = "pair"
    PACK = "pack"
    PACKAGING = "packaging"


@dataclass(frozen=True, slots=True)
class Start:
    """The beginning of a recall: the steps that hold it first, the lots that were named, and what was asked for.

    ``name`` is what people call it; ``place`` is the name of a plot. Of a plot ``flush_no`` and the days of plucking may
    be given (None: any), of a stone pair the span in which leaf was ground, of packaging how many packs stand in it.
    """

    begin: Begin
    name: str
    steps: tuple[int, ...]
    lots: tuple[int, ...] = ()
    place: str = ""
    flush_no: int | None = None
    first_on: dt.date | None = None
    last_on: dt.date | None = None
    from_at: dt.datetime | None = None
    until_at: dt.datetime | None = None
    pack_no: int | None = None
    pack_count: int | None = None


def at_lots(found: Found) -> Start:
    """Return the start at the lots, or at the packing run of the pack, that a text named."""
    lots = found.lots
    name = lot_name(lots[0]).name
    if found.kind is Kind.PACK:
        return Start(Begin.PACK, name, (lots[0].step_id,), tuple(lot.pk for lot in lots), pack_no=found.pack_no)
    return Start(Begin.LOT, name, tuple(holders(lots)), tuple(lot.pk for lot in lots))


def holders(lots: Sequence[Lot]) -> list[int]:
    """Return the steps that hold lots of one step first.

    What came off stones, sieve or filler begins with its own step, because leaf of it stayed on the machine; leaf from
    oven and sorting line begins where somebody took of it.
    """
    step = lots[0].step
    return [step.pk] if step.stage in IN_CONTACT else first_draws(lots)


def at_plot(code: str, flush_no: int | None = None, first_on: dt.date | None = None, last_on: dt.date | None = None) -> Start:
    """Return the start at all leaf of a plot, of one flush or between two days of plucking where these are given."""
    rows = HarvestFlush.objects.filter(plot__code=code, step__in=Step.objects.filter(not_taken_back()).values("pk"))
    asked = Q()
    asked &= Q(flush_no=flush_no) if flush_no is not None else Q()
    asked &= Q(plucked_on__gte=first_on) if first_on else Q()
    asked &= Q(plucked_on__lte=last_on) if last_on else Q()
    steps = tuple(rows.filter(asked).order_by("pk").values_list("pk", flat=True))
    lots = tuple(Lot.objects.filter(step__in=steps).values_list("pk", flat=True))
    plot = newest(FieldPlot).filter(code=code).first()
    return Start(Begin.PLOT, code, steps, lots, plot.name if plot else "", flush_no, first_on, last_on)


def at_pair(code: str, from_at: dt.datetime, until_at: dt.datetime) -> Start:
    """Return the start at all powder that a stone pair ground within a span, and the leaf that stayed in its hopper."""
    stand = Step.objects.filter(not_taken_back(), stage="milling", equipment__code=machine_of(code))
    tubs = MillingTub.objects.filter(step__in=stand.values("pk"), step__happened_at__gte=from_at).select_related("step")
    ground = [t.pk for t in tubs if t.step.happened_at - dt.timedelta(hours=float(t.ground_h)) <= until_at]
    runs = {run for run in stand.filter(pk__in=ground).values_list("continues_id", flat=True) if run}
    closes = stand.filter(part="close", continues__in=runs, happened_at__gte=from_at).values_list("pk", flat=True)
    steps = tuple(sorted({*ground, *closes}))
    lots = tuple(Lot.objects.filter(step__in=steps).order_by("pk").values_list("pk", flat=True))
    return Start(Begin.PAIR, code, steps, lots, from_at=from_at, until_at=until_at)


def at_packaging(code: str) -> Start:
    """Return the start at the packs that a packaging lot went into: those series only, whatever else their runs filled."""
    units = packed_in(code)
    steps = tuple(sorted({unit.step_id for unit in units}))
    taken = sum(one.used_count for each in packaging_of(units).values() for one in each if same_packaging(one.code, code))
    return Start(Begin.PACKAGING, code.strip(), steps, tuple(unit.lot_id for unit in units), pack_count=taken)


def machine_of(pair: str) -> str:
    """Return the machine that a stone pair runs on."""
    row = newest(StonePair).filter(code=pair).select_related("equipment").first()
    return row.equipment.code if row else pair
