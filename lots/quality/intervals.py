"""From which day a plot may be plucked after treatments, and how often a product was used between two pluckings.

Common practice, no source beyond the trade notes: an interval of n days after application means that plucking is lawful
from the n-th day after it; uses are counted from one plucking to the next, and a trim as deep as a plucking counts as one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Application:
    """A treatment as the intervals see it: ``step`` names it; ``uses_most_count`` is the label's limit, None where none."""

    step: int
    applied_on: dt.date
    product: str
    interval_days: int = 0
    substance: str = ""
    uses_most_count: int | None = None


@dataclass(frozen=True, slots=True)
class Lawful:
    """The earliest lawful plucking day, and the treatment that decides it."""

    from_on: dt.date
    decided_by: Application

    def days_left(self, on: dt.date) -> int:
        """Return how many days are left until the plot may be plucked, 0 where it may be plucked on that day."""
        return max(0, (self.from_on - on).days)

    def is_open(self, on: dt.date) -> bool:
        """Tell whether the plot may be plucked on a day."""
        return on >= self.from_on


def first_day(treatment: Application) -> dt.date:
    """Return the first lawful plucking day after one treatment: its day plus its interval in days.

    Raises ValueError for an interval below nothing.
    """
    if treatment.interval_days < 0:
        raise ValueError("An interval cannot be below nothing.")
    return treatment.applied_on + dt.timedelta(days=treatment.interval_days)


def earliest_lawful(treatments: Iterable[Application], on: dt.date) -> Lawful | None:
    """Return the earliest lawful plucking day as known on a day, and which treatment decides it; None where none asks for
    an interval.

    Treatments of later days do not count. Of several the latest day decides; of equal days the one applied last, so that
    the answer does not depend on their order. Raises ValueError as `first_day`.
    """
    asking = [one for one in treatments if one.applied_on <= on and first_day(one) > one.applied_on]
    if not asking:
        return None
    decides = max(asking, key=lambda one: (first_day(one), one.applied_on, one.step))
    return Lawful(first_day(decides), decides)


def too_early(treatments: Iterable[Application], plucked_on: dt.date) -> list[Application]:
    """Return the treatments whose interval had not passed on a plucking day, the one that lasts longest first.

    Raises ValueError as `first_day`.
    """
    found = [one for one in treatments if one.applied_on <= plucked_on < first_day(one)]
    return sorted(found, key=lambda one: (first_day(one), one.applied_on, one.step), reverse=True)


def period_began_on(endings: Iterable[dt.date], on: dt.date) -> dt.date | None:
    """Return the day on which the plucking period of a day began: the last plucking, or trim as deep as one, before it;
    None where there was none."""
    return max((day for day in endings if day < on), default=None)


def uses_count(treatments: Iterable[Application], product: str, endings: Sequence[dt.date], on: dt.date) -> int:
    """Return how often a product was used in the plucking period of a day, up to and with that day (a count).

    ``endings`` are the days of pluckings and of trims as deep as a plucking. A use on the day of such an ending belongs to
    the period that begins with it. Names are compared without regard to capitals and blanks round them.
    """
    since, name = period_began_on(endings, on), product.strip().casefold()
    same = [one for one in treatments if one.product.strip().casefold() == name and one.applied_on <= on]
    return sum(1 for one in same if since is None or one.applied_on >= since)
