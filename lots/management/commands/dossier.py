"""``manage.py dossier LOT --lang ja -o FILE``: the dossier of a lot as PDF."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from lots.dossier.eyes import Reader
from lots.dossier.lot_dossier import LotPaper
from lots.management.papers import add_language, found_lots, in_language, write


class Command(BaseCommand):
    """Parses, then calls `lots.dossier.lot_dossier`."""

    help = "Makes the dossier of a lot (or of the lots of one reference, or of a pack) as PDF."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare lot, language, reader and file."""
        parser.add_argument("lot", help="a lot code, the maker's own reference, or a pack code")
        parser.add_argument("--for", dest="reader", choices=[r.value for r in Reader], default=Reader.BUYER.value,
                            help="for whose eyes; a buyer is not told of other buyers")
        parser.add_argument("-o", "--output", type=Path, help="the file; default a name of its own in this folder")
        add_language(parser)

    def handle(self, *_: Any, **options: Any) -> None:
        """Make it."""
        found = found_lots(options["lot"])
        with in_language(options["lang"]):
            paper = LotPaper(found.lots, Reader(options["reader"]))
            data = paper.pdf()
            path = options["output"] or Path(paper.file_name())
        write(path, data)
        self.stdout.write(f"{path}: {len(data):,} bytes.")
