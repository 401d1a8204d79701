"""What a dossier says of the fields: each harvest with plot, cover and treatments, and whether every interval had passed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lots.models import Cultivar, FieldPlot, FieldTreatment
from lots.quality.shading import Shade
from lots.read.names import opened
from lots.read.origins import OriginShare
from lots.read.shading import shaded_before

#: Treatments of so many days before plucking are told; older ones lie before the winter.
TOLD_DAYS = 365


@dataclass(frozen=True, slots=True)
class Treatment:
    """A treatment before a plucking. ``kept_days`` passed between the two; ``interval_days`` had to."""

    applied_on: dt.date
    product: str
    substance: str
    dose: str
    interval_days: int
    kept_days: int
    entry: int
    water_l_per_10_a: float | None = None
    badge: str = ""

    @property
    def kept(self) -> bool:
        """Whether the interval had passed when the leaf was plucked."""
        return self.kept_days >= self.interval_days


@dataclass(frozen=True, slots=True)
class HarvestField:
    """One harvest in a lot: its share, and the plot by the version that was in force when it was plucked. ``disclosed``
    is how much strangers may read, by the version in force today. ``grower`` and ``place`` are empty where erased."""

    share: OriginShare
    area_a: float
    altitude_m: int | None
    planted_year: int | None
    registered_as: str
    disclosed: str
    grower: str
    place: str
    shade: Shade | None
    cover: str
    layer_count: int
    shade_frac: float | None
    treatments: tuple[Treatment, ...]


def harvest_fields(origins: Sequence[OriginShare]) -> tuple[HarvestField, ...]:
    """Return the harvests in a lot with everything that the book knows of their fields; the unknown share is left out."""
    known = [share for share in origins if share.harvest is not None]
    plots = newest_plots({share.plot for share in known})
    then = plots_then(known)
    values = opened(seal for share in known for seal in (share.grower, plots[share.plot].place) if seal)
    cultivars = {row.name: row.registered_as for row in Cultivar.objects.order_by("version")}
    return tuple(field_of(share, then[share.harvest or 0], plots[share.plot], values, cultivars) for share in known)


def newest_plots(codes: Iterable[str]) -> dict[str, FieldPlot]:
    """Return the newest version of plots."""
    return {row.code: row for row in FieldPlot.objects.filter(code__in=list(codes)).order_by("version")}


def plots_then(shares: Sequence[OriginShare]) -> dict[int, FieldPlot]:
    """Return the version of its plot that each harvest points at."""
    rows = FieldPlot.objects.filter(harvests__in=[share.harvest for share in shares]).values_list("harvests", "pk")
    plots = FieldPlot.objects.in_bulk([pk for _, pk in rows])
    return {harvest: plots[pk] for harvest, pk in rows}


def field_of(share: OriginShare, then: FieldPlot, now: FieldPlot, values: dict[str, str], cultivars: dict[str, str]) -> HarvestField:
    """Return one harvest with its field."""
    plucked = share.plucked_on or dt.date.min
    lain = shaded_before(share.plot, share.flush_no or 0, plucked)
    return HarvestField(
        share=share, area_a=float(then.area_a), altitude_m=then.altitude_m, planted_year=then.planted_year,
        registered_as=cultivars.get(share.cultivar, ""), disclosed=now.disclosed, grower=values.get(share.grower, ""),
        place=values.get(now.place, ""), shade=lain.days if lain else None, cover=lain.cover if lain else "",
        layer_count=lain.layer_count if lain else 0, shade_frac=lain.rate_frac if lain else None,
        treatments=treatments(share.plot, plucked),
    )


def treatments(plot: str, plucked_on: dt.date) -> tuple[Treatment, ...]:
    """Return the treatments of a plot before a plucking, oldest first."""
    rows = FieldTreatment.objects.filter(plot__code=plot, applied_on__lte=plucked_on, applied_on__gt=plucked_on - dt.timedelta(TOLD_DAYS))
    stand = rows.exclude(step__corrected_by__part="reverse").select_related("step", "operator").order_by("applied_on", "pk")
    return tuple(
        Treatment(row.applied_on, row.product, row.substance, row.dose, row.interval_days, (plucked_on - row.applied_on).days,
                  row.step.entry_id, None if row.water_l_per_10_a is None else float(row.water_l_per_10_a),
                  row.operator.code if row.operator else "")
        for row in stand
    )


