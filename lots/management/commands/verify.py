"""``manage.py verify``: re-read the whole book; exit code 1 and a plain list when anything differs."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from lots.management.progress import Progress
from lots.models import locks
from lots.read.verifying import verify_book


class Command(BaseCommand):
    """Parses, then calls `lots.read.verifying.verify_book`."""

    help = "Re-reads the whole book and compares rows, stock, chain and tree with the journal."

    def handle(self, *_: Any, **options: Any) -> None:
        """Print each fault as a sentence; raise when there is any."""
        with Progress(quiet=options["verbosity"] == 0) as progress:
            faults = verify_book(progress.tell)
        faults += [f"The append-only lock {name} does not stand." for name in locks.missing(connection)]
        for fault in faults:
            self.stdout.write(fault)
        if faults:
            raise CommandError(f"{len(faults)} things differ. The journal was not changed.")
        self.stdout.write("The book agrees with its journal: rows, stock, chain and tree.")
