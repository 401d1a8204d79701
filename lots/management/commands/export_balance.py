"""``manage.py export_balance``: every step and closed run with its dry-matter balance, as CSV."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from lots.dossier.balance_file import write_balances
from lots.read.balances import nodes


class Command(BaseCommand):
    """Parses, then calls `lots.dossier.balance_file.write_balances`."""

    help = "Prints every step and closed run as CSV: lots, inputs, outputs, losses, d_mg, u_mg, e_mg, z and verdict."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file and the stages."""
        parser.add_argument("-o", "--output", type=Path, help="a file to write; standard output when left out")
        parser.add_argument("--stage", action="append", default=[], help="only this stage; can be given several times")

    def handle(self, *_: Any, **options: Any) -> None:
        """Write the balances; say how many on standard error."""
        found = nodes(options["stage"])
        if options["output"] is None:
            count = write_balances(found, self.stdout)
        else:
            with options["output"].open("w", encoding="utf-8", newline="") as out:
                count = write_balances(found, out)
        if options["verbosity"] > 0:
            self.stderr.write(f"{count} balances.")
