"""How long a plot was under cover before a plucking: computed from the days of its covers, layers and gaps told apart.

Common practice, no source: a cover that went on on day a and came off on day b shaded b - a days.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Cover:
    """A cover: ``uncovered_on`` None while it lies; ``layer_count`` layers of it went on that day."""

    covered_on: dt.date
    uncovered_on: dt.date | None = None
    layer_count: int = 1


@dataclass(frozen=True, slots=True)
class Shade:
    """The shading of one plucking: days under at least one layer, days under each count of layers, days between the first
    cover and the last shaded day on which nothing lay, and whether a cover lay until the plucking."""

    covered_on: dt.date
    covered_days: int
    layer_days: tuple[tuple[int, int], ...]
    gap_days: int
    until_plucking: bool


def shade(covers: Iterable[Cover], plucked_on: dt.date) -> Shade | None:
    """Return how long covers lay before a plucking day; None where none had gone on by then.

    Days are whole days between two dates. Layers of covers that lie at one time add up. Raises ValueError for a cover that
    came off before it went on.
    """
    lain = [(one, min(one.uncovered_on or plucked_on, plucked_on)) for one in covers if one.covered_on <= plucked_on]
    if any(until < one.covered_on for one, until in lain):
        raise ValueError("A cover cannot come off before it goes on.")
    if not lain:
        return None
    first = min(one.covered_on for one, _ in lain)
    last = max(until for _, until in lain)
    days_by_layers: dict[int, int] = {}
    changes = sorted({day for one, until in lain for day in (one.covered_on, until)})
    for start, end in pairwise(changes):
        layers = sum(one.layer_count for one, until in lain if one.covered_on <= start < until)
        days_by_layers[layers] = days_by_layers.get(layers, 0) + (end - start).days
    gap_days = days_by_layers.pop(0, 0)
    layer_days = tuple(sorted(days_by_layers.items()))
    return Shade(first, sum(days_by_layers.values()), layer_days, gap_days, last == plucked_on)


def of_flush(covers: Sequence[Cover], plucked_before_on: dt.date | None, kept_days: int, plucked_on: dt.date) -> list[Cover]:
    """Return the covers that belong to a plucking: laid at most ``kept_days`` days before it, and after the last plucking of
    the flush before it."""
    oldest = plucked_on - dt.timedelta(days=kept_days)
    since = max(oldest, plucked_before_on) if plucked_before_on else oldest
    return [one for one in covers if since < one.covered_on <= plucked_on]
