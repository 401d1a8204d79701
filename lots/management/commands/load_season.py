"""``manage.py load_season FILE``: load a season into an empty book, all or nothing."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from lots.exchange.season import BrokenSeason, load
from lots.management.progress import Progress


class Command(BaseCommand):
    """Parses, then calls `lots.exchange.season.load`."""

    help = "Loads a season file into an empty book through the recorders, all or nothing; names the place where a file is broken."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file and the house's name."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--house", default="Stone mill", help="the maker's name, as it is printed")
        parser.add_argument("--valley", default="", help="the valley, as far as a pack's page may say it")

    def handle(self, *_: Any, **options: Any) -> None:
        """Load and say how many acts were recorded."""
        with Progress(quiet=options["verbosity"] == 0) as progress:
            try:
                count = load(
                    options["file"], {"name": options["house"]}, options["valley"],
                    tell=lambda done, whole: progress.tell("acts", done, whole),
                )
            except BrokenSeason as fault:
                raise CommandError(f"Nothing was loaded. {str(fault).rstrip('.')}.") from fault
        self.stdout.write(f"{count} acts recorded from {options['file'].name}.")
