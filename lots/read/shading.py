"""The covers over a plot before a plucking, and the days that they come to: computed, never typed."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from lots.models import Shading
from lots.quality.shading import Cover, Shade, of_flush, shade
from lots.read.origins import OriginShare

# A cover belongs to the plucking that follows it within this time.
COVER_KEPT_DAYS = 120


@dataclass(frozen=True, slots=True)
class Shaded:
    """The shading of one plucking, with how the newest cover lay and the share of light that it kept away."""

    days: Shade
    cover: str
    rate_frac: float | None

    @property
    def layer_count(self) -> int:
        """The most layers that lay at one time."""
        return max((layers for layers, _ in self.days.layer_days), default=0)


def covers(plots: Iterable[str]) -> dict[tuple[str, int], list[Shading]]:
    """Return the standing covers of plots by plot and flush, oldest first. A later word about a cover of the same day (that
    it came off) stands for the earlier one."""
    rows = Shading.objects.exclude(step__corrected_by__part="reverse").filter(plot__code__in=list(plots)).select_related("plot")
    newest: dict[tuple[str, int], dict[dt.date, Shading]] = defaultdict(dict)
    for row in rows.order_by("covered_on", "pk"):
        newest[row.plot.code, row.flush_no][row.covered_on] = row
    return {key: list(rows_of.values()) for key, rows_of in newest.items()}


def shaded(rows: Iterable[Shading], on: dt.date, plucked_before_on: dt.date | None = None) -> Shaded | None:
    """Return what the covers of one plot come to on a day; those laid before an earlier plucking are left out."""
    known = {row.covered_on: row for row in rows}
    lain = [Cover(row.covered_on, row.uncovered_on, row.layer_count) for row in known.values()]
    mine = of_flush(lain, plucked_before_on, COVER_KEPT_DAYS, on)
    days = shade(mine, on)
    if days is None:
        return None
    last = known[max(one.covered_on for one in mine)]
    return Shaded(days, last.cover, None if last.rate_frac is None else float(last.rate_frac))


def shaded_before(plot: str, flush_no: int, on: dt.date) -> Shaded | None:
    """Return the shading of a plucking: of one plot, for one flush, on a day."""
    return shaded(covers([plot]).get((plot, flush_no), ()), on)


def shades_of(harvests: Iterable[OriginShare]) -> dict[int, Shade]:
    """Return the shading of harvests, by the harvest's step, in one query."""
    known = [(one.harvest, one.plot, one.flush_no, one.plucked_on) for one in harvests]
    laid = covers({plot for _, plot, _, _ in known if plot})
    found = {
        harvest: shaded(laid.get((plot, flush_no), ()), plucked_on)
        for harvest, plot, flush_no, plucked_on in known if harvest is not None and plucked_on is not None
    }
    return {harvest: one.days for harvest, one in found.items() if one is not None}
