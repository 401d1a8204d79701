"""Who may enter what: was a badge trained for a stage, and did that hold on a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

EVERY_STAGE = "ALL"


@dataclass(frozen=True, slots=True)
class Grant:
    """One version of an authorisation: a badge, its stages, from when this version is in force, and its own days."""

    code: str
    version: int
    badge: str
    stages: frozenset[str]
    in_force_on: dt.date
    trained_on: dt.date
    trained_by: str
    until_on: dt.date | None
    retired: bool

    def covers(self, stage: str, day: dt.date) -> bool:
        """Tell whether it allows entries at a stage on a day."""
        return (
            not self.retired and bool({stage, EVERY_STAGE} & self.stages) and self.trained_on <= day
            and (self.until_on is None or day <= self.until_on)
        )


def version_of_day(versions: Iterable[Grant], day: dt.date) -> Grant:
    """Return the version in force on a day: the newest that had begun; before the first that one."""
    ordered = sorted(versions, key=lambda grant: grant.version)
    begun = [grant for grant in ordered if grant.in_force_on <= day]
    return begun[-1] if begun else ordered[0]


def permitted(grants: Iterable[Grant], badge: str, stage: str, day: dt.date) -> bool:
    """Tell whether a badge was allowed to make entries at a stage on a day, by the versions of that day."""
    by_code: dict[str, list[Grant]] = {}
    for grant in grants:
        if grant.badge == badge:
            by_code.setdefault(grant.code, []).append(grant)
    return any(version_of_day(versions, day).covers(stage, day) for versions in by_code.values())
