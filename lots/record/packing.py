"""Tins and bags: sieved powder is put into packs; each series of like packs is one row, each pack has a code by computation."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.codes.packs import new_secret
from lots.models import Equipment, PackedUnit, PackingRun, PackSecret, Product
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.inserting import insert
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, common_moisture, find_lots
from lots.record.writing import Writing

MOST_PACKS = 2**20 - 1


@dataclass(frozen=True, slots=True)
class Series:
    """Like packs as the desk gives them: how many, and what they weigh together (net). ``retained`` are kept samples."""

    product: str
    pack_count: int
    net: Weight
    retained: bool = False


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
    fed = [lines.draw(lot) for lot in find_lots(lots, "lots")]
    wet = lines.wet("packed_tea", moisture) or common_moisture(fed)
    run_no = w.next_id("pack_run")
    w.add(PackingRun(step=step, run_no=run_no))
    insert([PackSecret(run_no=run_no, secret=new_secret())])
    first_no = 1
    for one in series:
        first_no = add_series(w, lines, one, run_no, first_no, day, wet, maker_ref)
    if bulk is not None and bulk.mass_mg:
        lines.open("bulk_powder", bulk, wet)
    for reason, weight in (losses or {}).items():
        lines.lose(reason, weight, wet)
    judge(w, "packing")


def add_series(
    w: Writing, lines: Lines, one: Series, run_no: int, first_no: int, day: dt.date, wet: dict[str, object], maker_ref: str
) -> int:
    """Open the lot and the row of one series; return the next free pack number."""
    product = w.in_force(Product, one.product, "products", "product")
    if one.pack_count < 1 or first_no + one.pack_count - 1 > MOST_PACKS:
        msg = _("%(count)s packs cannot be one series: it holds 1 to %(most)s.")
        raise Refused(msg % {"count": one.pack_count, "most": f"{MOST_PACKS:,}"}, "pack_count")
    material = "retained_tea" if one.retained else "packed_tea"
    lot = lines.open(material, one.net, wet, maker_ref)
    last_no = first_no + one.pack_count - 1
    w.add(PackedUnit(
        step=lines.step, lot=lot, product=product, run_no=run_no, first_no=first_no, last_no=last_no,
        mean_mg=round(one.net.mass_mg / one.pack_count), retained=one.retained, packed_on=day,
        best_before_on=day + dt.timedelta(days=product.keeps_days),
    ))
    return last_no + 1
