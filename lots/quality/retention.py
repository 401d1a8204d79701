"""How long a record is kept: of all rules that speak of it the longest, and nothing is purged before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

ALL_RECORDS = "all records"
BEST_BEFORE = "best before"


@dataclass(frozen=True, slots=True)
class KeepingRule:
    """A rule: which records, how many years, counted from the entry or from the best-before day, and who says so."""

    code: str
    records: str
    year_count: int
    since: str
    source: str


@dataclass(frozen=True, slots=True)
class Kept:
    """Until when a record is kept (that day included), and by which rule."""

    until_on: dt.date
    rule: KeepingRule


class KeptLonger(Exception):
    """Raised where something was to be purged before its day; ``kept`` None: no rule says how long it is kept."""

    def __init__(self, kept: Kept | None) -> None:
        super().__init__("kept longer")
        self.kept = kept


def years_after(day: dt.date, count: int) -> dt.date:
    """Return the same day some years later; a 29th of February becomes the 1st of March, so that no day is lost."""
    try:
        return day.replace(year=day.year + count)
    except ValueError:
        return dt.date(day.year + count, 3, 1)


def kept_until(records: str, written_on: dt.date, best_before_on: dt.date | None, rules: Iterable[KeepingRule]) -> Kept | None:
    """Return until when a record of a kind is kept: the longest of the rules for it and for all records; None without a rule.

    A rule that counts from the best-before day counts from the day of the entry where no pack is known.
    """
    found = []
    for rule in rules:
        if rule.records not in {records, ALL_RECORDS}:
            continue
        begins = max(written_on, best_before_on or written_on) if rule.since == BEST_BEFORE else written_on
        found.append(Kept(years_after(begins, rule.year_count), rule))
    return max(found, key=lambda kept: (kept.until_on, kept.rule.code), default=None)


def refuse_early(kept: Kept | None, today: dt.date, *, needs_rule: bool = True) -> None:
    """Raise KeptLonger where a record may not go yet, or where a rule is needed and none stands."""
    if kept is None and needs_rule:
        raise KeptLonger(None)
    if kept is not None and kept.until_on > today:
        raise KeptLonger(kept)
