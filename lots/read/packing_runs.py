"""One packing run with its series: what each holds against its label, and until when it keeps."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone

from lots.models import PackedUnit, PackingRun, Step
from lots.read.keeping_rule import rule_of
from lots.read.names import LotName, lot_name
from lots.read.series import series_state
from lots.trade.best_before import BestBefore


@dataclass(frozen=True, slots=True)
class SeriesOfRun:
    """One series of a run: ``net_mg`` is what the label says of a pack, ``mass_mg`` what all of them were weighed to hold."""

    unit: PackedUnit
    lot: LotName
    pack_count: int
    here_count: int
    net_mg: int
    mass_mg: int
    rule: BestBefore

    @property
    def giveaway_mg(self) -> int:
        """What the series holds above its labels, as weighed, in mg; negative: short."""
        return self.mass_mg - self.net_mg * self.pack_count


@dataclass(frozen=True, slots=True)
class RunPage:
    """A packing run that was written: when, under which entry, from which lots, what it filled, and what the packs were
    closed in: damp of the room and oxygen left as fractions (None: nobody read them), gas by its stored word."""

    step: int
    entry: int
    at: dt.datetime
    day: dt.date
    filler: str
    taken_back: bool
    fed: tuple[LotName, ...]
    series: tuple[SeriesOfRun, ...]
    room_rh_frac: float | None
    gas: str
    oxygen_frac: float | None

    @property
    def giveaway_mg(self) -> int:
        """What the packs for sale hold above their labels together, in mg."""
        return sum(one.giveaway_mg for one in self.series if not one.unit.retained)


def packing_run(step: int) -> RunPage | None:
    """Return a packing run; None where the step is none."""
    row = PackingRun.objects.select_related("step__equipment").filter(pk=step).first()
    if row is None:
        return None
    fed = {flow.lot_id: lot_name(flow.lot) for flow in row.step.flows.filter(kind="in").select_related("lot") if flow.lot}
    units = PackedUnit.objects.filter(step=step).select_related("lot__step", "product").order_by("first_no")
    return RunPage(
        row.pk, row.step.entry_id, row.step.happened_at, timezone.localtime(row.step.happened_at).date(),
        row.step.equipment.code if row.step.equipment else "", Step.objects.filter(corrects=step, part="reverse").exists(),
        tuple(fed.values()), tuple(series_of_run(unit) for unit in units),
        None if row.room_rh_frac is None else float(row.room_rh_frac), row.gas,
        None if row.oxygen_frac is None else float(row.oxygen_frac),
    )


def series_of_run(unit: PackedUnit) -> SeriesOfRun:
    """Return one series of a run."""
    state = series_state(unit)
    return SeriesOfRun(
        unit, lot_name(unit.lot), unit.pack_count, state.here_count, unit.product.net_mg, unit.lot.mass_mg, rule_of(unit.product),
    )
