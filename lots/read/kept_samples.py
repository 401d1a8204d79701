"""Kept samples: where each series stands, until when, what the last round met, and what is due."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from django.db.models import Sum

from lots.models import PackedUnit, PackMove, SamplePlace, SampleRound, SampleSeen, Step
from lots.read.balances import not_taken_back
from lots.read.names import LotName, lot_name
from lots.read.series import AWAY, BACK


@dataclass(frozen=True, slots=True)
class KeptSeries:
    """Kept samples of one series: how many are here, where they stand (empty: nobody wrote it), until when they stay, and
    how many the last round missed (None: no round met them yet)."""

    unit: PackedUnit
    lot: LotName
    made_count: int
    here_count: int
    place: str
    until_on: dt.date
    seen_at: dt.datetime | None
    missing_count: int | None

    def due(self, on: dt.date) -> bool:
        """Whether their time is over and they may be disposed of."""
        return self.here_count > 0 and on > self.until_on


def kept_samples(*, all_of_them: bool = False) -> list[KeptSeries]:
    """Return the series of kept samples of which some are here, the one that is due first at the head."""
    units = list(PackedUnit.objects.filter(retained=True).select_related("lot__step", "product").order_by("pk"))
    moves = PackMove.objects.filter(unit__in=units).order_by().values_list("unit").annotate(count=Sum("pack_count"))
    gone: Counter[int] = Counter(dict(moves.filter(fate__in=AWAY)))
    gone.subtract(dict(moves.filter(fate__in=BACK)))
    stand = Step.objects.filter(not_taken_back(), stage="keeping").values("pk")
    places = {row.unit_id: row for row in SamplePlace.objects.filter(unit__in=units, step__in=stand).order_by("pk")}
    seen = {row.unit_id: row for row in SampleSeen.objects.filter(unit__in=units, step__in=stand).select_related("step").order_by("pk")}
    found = [one_series(unit, gone[unit.pk], places.get(unit.pk), seen.get(unit.pk)) for unit in units]
    return sorted((one for one in found if one.here_count or all_of_them), key=lambda one: (one.until_on, one.unit.pk))


def one_series(unit: PackedUnit, gone_count: int, place: SamplePlace | None, seen: SampleSeen | None) -> KeptSeries:
    """Return one series. A place remembers its own day; without one the rule of the product gives it."""
    until_on = place.keep_until_on if place else unit.best_before_on + dt.timedelta(days=unit.product.sample_days)
    missing = max(0, seen.expected_count - seen.seen_count) if seen else None
    return KeptSeries(
        unit, lot_name(unit.lot), unit.pack_count, unit.pack_count - gone_count, place.place if place else "", until_on,
        seen.step.happened_at if seen else None, missing,
    )


@dataclass(frozen=True, slots=True)
class RoundTold:
    """A round: when, how many samples should have been there and were met, and the series of which some are missing."""

    step: int
    at: dt.datetime
    expected_count: int
    seen_count: int
    missing: tuple[tuple[LotName, str, int], ...]


def round_told(step: int) -> RoundTold:
    """Return a round by its step."""
    row = SampleRound.objects.select_related("step").get(pk=step)
    met = SampleSeen.objects.filter(step=step).select_related("unit__lot").order_by("pk")
    short = [one for one in met if one.seen_count < one.expected_count]
    places = {p.unit_id: p.place for p in SamplePlace.objects.filter(unit__in=[one.unit_id for one in short]).order_by("pk")}
    missing = tuple((lot_name(one.unit.lot), places.get(one.unit_id, ""), one.expected_count - one.seen_count) for one in short)
    return RoundTold(row.pk, row.step.happened_at, row.expected_count, row.seen_count, missing)


def last_round() -> RoundTold | None:
    """Return the newest round that stands."""
    rows = SampleRound.objects.filter(step__in=Step.objects.filter(not_taken_back()).values("pk")).order_by("-pk")
    row = rows.first()
    return round_told(row.pk) if row else None
