"""``manage.py backup FILE`` and ``--restore``: an online, checked copy of the book."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from lots.exchange.backup import BackupFault, back_up, restore
from lots.read.verifying import verify_book


class Command(BaseCommand):
    """Parses, then calls `lots.exchange.backup`."""

    help = "Copies the book to FILE while people work, and checks the copy. With --restore it puts FILE back and checks the book."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file and the direction."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--restore", action="store_true", help="put FILE back in the place of the book")
        parser.add_argument("--over", action="store_true", help="with --restore: even when the book is longer than the copy")

    def handle(self, *_: Any, **options: Any) -> None:
        """Copy or put back, and say which journal that is."""
        try:
            facts = restore(options["file"], over=options["over"]) if options["restore"] else back_up(options["file"])
        except BackupFault as fault:
            raise CommandError(f"{fault}.") from fault
        if options["restore"] and (faults := verify_book()):
            raise CommandError("What was put back differs from its journal:\n" + "\n".join(faults))
        what = "Put back and checked" if options["restore"] else "Copied and checked"
        self.stdout.write(f"{what}: {facts['size']} entries, root {facts['root'][:16]}…, {options['file']}.")
