"""``manage.py rebuild``: make the derived tables anew from the book's rows."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from lots.management.progress import Progress
from lots.record.deriving import rebuild


class Command(BaseCommand):
    """Parses, then calls `lots.record.deriving.rebuild`."""

    help = "Makes stock, edges, compositions, holds' reach and pack faces anew. The book itself is not touched."

    def handle(self, *_: Any, **options: Any) -> None:
        """Rebuild in one transaction and say how many steps were worked out."""
        with Progress(quiet=options["verbosity"] == 0) as progress, transaction.atomic():
            count = rebuild(lambda done, whole: progress.tell("steps", done, whole))
        self.stdout.write(f"Derived tables made anew from {count} steps.")
