"""Tins and bags: sieved powder is put into packs; each series of like packs is one row, each pack has a code by computation."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.codes.packs import new_secret
from lots.models import Equipment, Lot, PackedUnit, PackingRun, PackSecret, Product, Step
from lots.read.keeping_rule import milled_first_on, rule_of
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.inserting import insert
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, common_moisture, find_lots
from lots.record.words import language
from lots.record.writing import Writing
from lots.trade import language as trade
from lots.trade.best_before import MILLING

MOST_PACKS = 2**20 - 1


@dataclass(frozen=True, slots=True)
class Series:
    """Like packs as the desk gives them: how many, and what they weigh together (net). ``retained`` are kept samples."""

    product: str
    pack_count: int
    net: Weight
    retained: bool = False


@dataclass(frozen=True, slots=True)
class Closed:
    """What packs were closed in: relative humidity of the room and oxygen left in a pack as fractions, gas by its word."""

    room_rh_frac: Decimal | None = None
    gas: str = ""
    oxygen_frac: Decimal | None = None


@act("packing.run")
def pack(
    w: Writing,
    *,
    lots: Sequence[str],
    series: Sequence[Series],
    bulk: Weight | None = None,
    losses: dict[str, Weight] | None = None,
    filler: str = "",
    moisture: Moisture | None = None,
    packed_on: dt.date | None = None,
    closed: Closed | None = None,
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Record a packing run of whole lots of powder: series of packs, kept samples, bulk left, losses."""
    if not lots:
        raise Refused(_("Scan the powder that was filled, at least one lot."), "lots")
    if not series:
        raise Refused(_("No packs were typed. How many were filled?"), "series")
    machine = w.in_force(Equipment, filler, "machines", "filler") if filler else None
    step = w.step("packing", "run", happened_at, equipment=machine)
    today = timezone.localtime(step.happened_at).date()
    day = packed_on or today
    if day > today:
        raise Refused(_("%(day)s has not come yet. Type the day on which the packs were filled.") % {"day": day}, "packed_on")
    lines = Lines(w, step)
    powder = find_lots(lots, "lots")
    fed = [lines.draw(lot) for lot in powder]
    wet = lines.wet("packed_tea", moisture) or common_moisture(fed)
    run_no = w.next_id("pack_run")
    w.add(packing_run(step, run_no, closed or Closed()))
    insert([PackSecret(run_no=run_no, secret=new_secret())])
    first_no = 1
    for one in series:
        product = w.in_force(Product, one.product, "products", "product")
        until = best_before_on(w, product, day, powder)
        unit = PackedUnit(product=product, run_no=run_no, first_no=first_no, packed_on=day, best_before_on=until)
        first_no = add_series(w, lines, one, unit, wet, maker_ref)
    if bulk is not None and bulk.mass_mg:
        lines.open("bulk_powder", bulk, wet)
    for reason, weight in (losses or {}).items():
        lines.lose(reason, weight, wet)
    judge(w, "packing")


def packing_run(step: Step, run_no: int, closed: Closed) -> PackingRun:
    """Return the row of a run, unless its air cannot be."""
    for name in ("room_rh_frac", "oxygen_frac"):
        share = getattr(closed, name)
        if share is not None and not 0 <= share <= 1:
            raise Refused(_("%(percent)s %% cannot be: it lies between 0 and 100.") % {"percent": f"{share * 100:.1f}"}, name)
    return PackingRun(step=step, run_no=run_no, room_rh_frac=closed.room_rh_frac, gas=closed.gas, oxygen_frac=closed.oxygen_frac)


def add_series(w: Writing, lines: Lines, one: Series, unit: PackedUnit, wet: dict[str, object], maker_ref: str) -> int:
    """Open the lot of one series and complete its row; return the next free pack number."""
    if one.pack_count < 1 or unit.first_no + one.pack_count - 1 > MOST_PACKS:
        msg = _("%(count)s packs cannot be one series: it holds 1 to %(most)s.")
        raise Refused(msg % {"count": one.pack_count, "most": f"{MOST_PACKS:,}"}, "pack_count")
    unit.step, unit.retained = lines.step, one.retained
    unit.lot = lines.open("retained_tea" if one.retained else "packed_tea", one.net, wet, maker_ref)
    unit.last_no = unit.first_no + one.pack_count - 1
    unit.mean_mg = round(one.net.mass_mg / one.pack_count)
    w.add(unit)
    return unit.last_no + 1


def best_before_on(w: Writing, product: Product, packed_on: dt.date, powder: Sequence[Lot]) -> dt.date:
    """Return until when packs of a product keep, by its rule. Powder whose milling is not in the book is asked about."""
    start_on = packed_on
    if product.keeps_from == MILLING:
        milled_on = milled_first_on({lot.step_id for lot in powder})
        if milled_on is None:
            msg = _("Best-before of %(product)s counts from milling, and the book has no milling of this powder: from packing, then.")
            w.question(msg % {"product": product.code}, "lots")
        start_on = milled_on or packed_on
    try:
        return rule_of(product).on(start_on)
    except trade.Refused as fault:
        raise Refused(fault.text(language()), "product") from fault
