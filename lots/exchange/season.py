"""Load a season file into an empty book through the recorders that the desk uses: all of it or nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from django.db import transaction

from lots.exchange.season_acts import Recorded, SeasonActs
from lots.exchange.season_file import BrokenSeason, Season, read_season
from lots.exchange.season_registers import dressings, entries
from lots.models import JournalHead
from lots.record.acts import Act
from lots.record.errors import NotWritten, Questioned
from lots.record.registers import enter, found_house

BADGES = "ABCDEF"
TypistOf = {"harvest": "A", "drying": "B", "refining": "C", "milling": "D", "sieving": "E", "packing": "F"}


def load(
    path: Path,
    house: dict[str, Any],
    valley: str = "",
    disclosed: str = "plot",
    *,
    tell: Callable[[int, int], None] = lambda *_: None,
    more: Sequence[Recorded] = (),
) -> int:
    """Load a file, with ``more`` acts in their places of time; ``tell(done, all)`` hears of progress.

    Returns the number of acts. Raises `BrokenSeason`.
    """
    season = read_season(path)
    if JournalHead.objects.filter(size__gt=0).exists():
        raise BrokenSeason(f"{path.name} can only be loaded into an empty book, and this book has entries")
    acts = sorted([*SeasonActs(season).all(), *more], key=lambda a: (a.at, a.order))
    with transaction.atomic():
        done = set_up(path.name, season, house, valley, disclosed)
        for number, one in enumerate(acts, 1):
            record(path.name, one)
            tell(number, len(acts))
    return done + len(acts)


def set_up(file: str, season: Season, house: dict[str, Any], valley: str, disclosed: str) -> int:
    """Open the book, enter badges and registers; return how many acts that took."""
    found_house(Act("A"), house=house, badge="A", name="badge A")
    for badge in BADGES[1:]:
        enter(Act("A"), table="staff", code=badge, fields={"name": f"badge {badge}"})
    rows: list[tuple[str, str, dict[str, Any], dt.datetime | None]] = [(*row, None) for row in entries(season, valley, disclosed)]
    rows += [("stone_pair", code, fields, at) for code, fields, at in dressings(season)]
    for table, code, fields, at in rows:
        try:
            enter(Act("A"), table=table, code=code, fields=fields, valid_from_at=at)
        except NotWritten as fault:
            raise BrokenSeason(f"{file}, {table} {code}: {fault.sentence}") from fault
    return len(BADGES) + len(rows)


def record(file: str, one: Recorded) -> None:
    """Record one act; what the ledger questions is taken with the file as its reason, what it refuses breaks the load."""
    badge = TypistOf.get(one.recorder.__module__.rpartition(".")[2], "A")
    asked = {**one.asked, "happened_at": one.at}
    try:
        try:
            one.recorder(Act(badge), **asked)
        except Questioned:
            one.recorder(Act(badge, reason=f"As it stands in {file}"), **asked)
    except NotWritten as fault:
        raise BrokenSeason(f"{file}, {one.place}: {fault.sentence}") from fault
