"""Oven: fresh leaf becomes crude leaf and stem, each weighed."""

from __future__ import annotations

import datetime as dt

from lots.models import Equipment, LeafDrying
from lots.record.acts import act
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, find_lot
from lots.record.writing import Writing


@act("drying.batch")
def batch(
    w: Writing,
    *,
    lot: str,
    crude: Weight,
    crude_moisture: Moisture | None,
    stem: Weight | None,
    stem_moisture: Moisture | None,
    oven: str = "",
    losses: dict[str, Weight] | None = None,
    steamed_at: dt.datetime | None = None,
    lower_tier_c: int | None = None,
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Record an oven batch of a whole lot of fresh leaf. Opens a lot of crude leaf and one of stem (unless there was none)."""
    step = w.step("drying", "batch", happened_at, equipment=w.in_force(Equipment, oven, "machines", "oven") if oven else None)
    lines = Lines(w, step)
    fresh = lines.draw(find_lot(lot))
    wet = lines.wet("crude_leaf", crude_moisture)
    lines.open("crude_leaf", crude, wet, maker_ref)
    if stem is not None and stem.mass_mg:
        lines.open("stem", stem, stem_moisture)
    for reason, weight in (losses or {}).items():
        lines.lose(reason, weight, wet)
    w.add(LeafDrying(step=step, steamed_at=steamed_at, lower_tier_c=lower_tier_c))
    if fresh.moisture_frac is not None:
        judge(w, "drying")
