"""Where leaf comes from: the harvests in a step with their share of dry mass, their plot, cultivar and grower."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from lots.balance.period import worst_state
from lots.models import Composition, HarvestFlush, Lot, Origin
from lots.read.downgrades import lowered
from lots.read.names import LotName, lot_name


@dataclass(frozen=True, slots=True)
class OriginShare:
    """One harvest in a step: its share of the dry mass and what the book knows of it.

    ``harvest`` is the harvest's step, None for the share that no harvest accounts for (then the rest is empty).
    ``grower`` is the commitment to the grower's name, which may be erased.
    """

    share_frac: float
    harvest: int | None = None
    lot: LotName | None = None
    fresh_mg: int = 0
    plot: str = ""
    plot_name: str = ""
    state: str = ""
    valley: str = ""
    cultivar: str = ""
    cultivar_ja: str = ""
    flush_no: int = 0
    plucked_on: dt.date | None = None
    bag_count: int = 0
    grower_code: str = ""
    grower: str = ""


def shares_of(step_ids: Iterable[int]) -> dict[int, list[tuple[int | None, float]]]:
    """Return the composition of steps as (harvest step, share), largest share first."""
    held = dict(Origin.objects.filter(pk__in=list(step_ids)).values_list("step_id", "held_by_id"))
    rows = Composition.objects.filter(held_by__in=set(held.values())).order_by("-share_frac", "harvest_id")
    by_holder: dict[int, list[tuple[int | None, float]]] = defaultdict(list)
    for holder, harvest, share in rows.values_list("held_by_id", "harvest_id", "share_frac"):
        by_holder[holder].append((harvest, share))
    return {step: by_holder[holder] for step, holder in held.items()}


def origins_of(step_ids: Iterable[int]) -> dict[int, tuple[OriginShare, ...]]:
    """Return the harvests in each step, in a handful of queries however many steps are asked for."""
    shares = shares_of(step_ids)
    known = harvests({h for each in shares.values() for h, _ in each if h is not None})
    states = lowered()
    return {step: tuple(share_of(known, h, frac, states.get(step, "")) for h, frac in each) for step, each in shares.items()}


def harvests(step_ids: Iterable[int]) -> dict[int, OriginShare]:
    """Return what the book knows of harvests, each as a share of 1."""
    ids = list(step_ids)
    if not ids:
        return {}
    lots = {lot.step_id: lot for lot in Lot.objects.filter(step__in=ids)}
    rows = HarvestFlush.objects.filter(pk__in=ids).select_related("plot__grower", "cultivar")
    return {row.pk: harvest_of(row, lots[row.pk]) for row in rows}


def harvest_of(row: HarvestFlush, lot: Lot) -> OriginShare:
    """Return one harvest as a share of 1."""
    plot, grower = row.plot, row.plot.grower
    return OriginShare(
        1.0, row.pk, lot_name(lot), lot.mass_mg, plot.code, plot.name, plot.state, plot.valley, row.cultivar.name,
        row.cultivar.name_ja, row.flush_no, row.plucked_on, row.bag_count, grower.code if grower else "",
        grower.name if grower else "",
    )


def share_of(known: dict[int, OriginShare], harvest: int | None, share_frac: float, lowered_to: str = "") -> OriginShare:
    """Return a harvest with its share in a step, and its state there."""
    if harvest is None or harvest not in known:
        return OriginShare(share_frac)
    state = worst_state([known[harvest].state, lowered_to]) if lowered_to else known[harvest].state
    return replace(known[harvest], share_frac=share_frac, state=state)
