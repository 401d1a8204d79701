"""``manage.py purge openings --before 2026-01-01``, ``purge acts --before …``, ``purge person --table party --code G1``.

Refuses, and names the day, while a retention rule keeps what is to go.
"""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from lots.quality.retention import KeptLonger
from lots.record.purging import TABLES, erase_act_keys, erase_person
from lots.scans.openings import purge


class Command(BaseCommand):
    """Parses, then calls the room that owns what is purged."""

    help = "Erases openings of pack pages, keys of acts, or a person's name and contacts, once the longest retention rule lets them go."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what is purged, up to when, and whose."""
        parser.add_argument("what", choices=("openings", "acts", "person"))
        parser.add_argument("--before", type=dt.date.fromisoformat, help="what is older than this day at the mill")
        parser.add_argument("--table", choices=sorted(TABLES), default="party")
        parser.add_argument("--code", default="")

    def handle(self, *_: Any, **options: Any) -> None:
        """Purge, or say until when it is kept."""
        if (options["what"] == "person" and not options["code"]) or (options["what"] != "person" and not options["before"]):
            raise CommandError("Say whose (--code), or what is older than which day (--before).")
        try:
            count = self.purged(**options)
        except KeptLonger as fault:
            raise CommandError(told(fault)) from fault
        self.stdout.write(f"{count} rows are gone.")

    def purged(self, what: str, before: dt.date | None, table: str, code: str, **_: Any) -> int:
        """Return how many rows went."""
        today = timezone.localdate()
        if what == "person":
            return erase_person(table, code, today)
        day = before or today
        at = timezone.make_aware(dt.datetime(day.year, day.month, day.day))  # noqa: DTZ001 - made aware here
        return purge(at) if what == "openings" else erase_act_keys(at, today)


def told(fault: KeptLonger) -> str:
    """Return why nothing was purged."""
    if fault.kept is None:
        return "Nothing was purged: no retention rule says how long these records are kept. Enter one first."
    rule = fault.kept.rule
    return f"Nothing was purged: kept until {fault.kept.until_on} by rule {rule.code} ({rule.source}, {rule.year_count} years)."
