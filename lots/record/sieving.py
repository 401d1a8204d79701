"""Sieve: tubs of powder through a screen; what stays on it is a lot of its own with a fate."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import Screen, SievePass
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, common_moisture, find_lots
from lots.record.writing import Writing


@act("sieving.pass")
def sieve(
    w: Writing,
    *,
    lots: Sequence[str],
    screen: str,
    through: Weight,
    oversize: Weight,
    oversize_fate: str = SievePass.Fate.OPEN,
    moisture: Moisture | None = None,
    losses: dict[str, Weight] | None = None,
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Record a sieve pass of whole tubs. The moisture is taken over where all tubs stand on one sample."""
    if not lots:
        raise Refused(_("Scan the tubs that went through the sieve, at least one."), "lots")
    cloth = w.in_force(Screen, screen, "screens", "screen")
    step = w.step("sieving", "pass", happened_at, equipment=cloth.equipment)
    lines = Lines(w, step)
    fed = [lines.draw(lot) for lot in find_lots(lots, "lots")]
    wet = lines.wet("sieved_powder", moisture) or common_moisture(fed)
    lines.open("sieved_powder", through, wet, maker_ref)
    if oversize.mass_mg:
        lines.open("oversize", oversize, wet)
    for reason, weight in (losses or {}).items():
        lines.lose(reason, weight, wet)
    w.add(SievePass(step=step, screen=cloth, oversize_fate=oversize_fate))
    judge(w, "sieving")
