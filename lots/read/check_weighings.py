"""Check-weighings of packs: what was weighed, how it was judged, and what was given away."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lots.balance.scales import permissible_error_mg
from lots.models import CheckedPack, CheckWeighing, PackedUnit, Scale, Step
from lots.quality.net_content import NetContent, judge, weighing_error_most_mg
from lots.read.balances import not_taken_back
from lots.read.closing import scale_data
from lots.trade import language as trade


@dataclass(frozen=True, slots=True)
class Checked:
    """One check-weighing: when, of which series, and its judgement as it follows from the packs that were weighed.

    ``lost_mg`` is what the packs of the series hold above the label together, by the mean of this check.
    """

    step: int
    entry: int
    at: dt.datetime
    unit: PackedUnit
    pack_count: int
    scale: str
    too_coarse: bool
    result: NetContent

    @property
    def lost_mg(self) -> float:
        """What the whole series gives away, in mg."""
        return self.result.giveaway_mg * self.pack_count


def check_weighings(units: Iterable[PackedUnit]) -> list[Checked]:
    """Return the check-weighings of some series that were not taken back, the oldest first."""
    known = {unit.pk: unit for unit in units}
    stand = Step.objects.filter(not_taken_back(), stage="checkweighing").values("pk")
    rows = list(CheckWeighing.objects.filter(unit__in=list(known), step__in=stand).select_related("step", "scale").order_by("pk"))
    contents: dict[int, list[int]] = defaultdict(list)
    for step, content_mg in CheckedPack.objects.filter(step__in=[r.pk for r in rows]).order_by("pk").values_list("step_id", "content_mg"):
        contents[step].append(content_mg)
    return [checked(row, known[row.unit_id], contents[row.pk]) for row in rows]


def checked(row: CheckWeighing, unit: PackedUnit, contents_mg: Sequence[int]) -> Checked:
    """Return one check-weighing with its judgement."""
    result = judge(plan=row.plan, nominal_mg=row.nominal_mg, contents_mg=contents_mg, lot_size=unit.pack_count)
    return Checked(
        row.pk, row.step.entry_id, row.step.happened_at, unit, unit.pack_count, row.scale.code if row.scale else "",
        too_coarse(row.scale, row.nominal_mg, row.tare_mg), result,
    )


def too_coarse(scale: Scale | None, nominal_mg: int, tare_mg: int = 0) -> bool:
    """Tell whether a scale may err by more than a check of such packs bears; nobody knows of no scale."""
    plate = scale_data(scale)
    if plate is None:
        return False
    try:
        return permissible_error_mg(nominal_mg + tare_mg, plate) > weighing_error_most_mg(nominal_mg)
    except trade.Refused:
        return True
