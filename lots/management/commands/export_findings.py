"""``manage.py export_findings``: what does not add up, and which entry would explain it, as JSON."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from lots.dossier.findings_file import findings
from lots.read.balances import nodes
from lots.read.suspected import told
from lots.read.suspecting import suspicions


class Command(BaseCommand):
    """Parses, then calls `lots.dossier.findings_file.findings`."""

    help = "Prints what does not add up as JSON: steps, kind of slip, entry, value read and proposed, estimate, alternatives, unique."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file."""
        parser.add_argument("-o", "--output", type=Path, help="a file to write; standard output when left out")

    def handle(self, *_: Any, **options: Any) -> None:
        """Write the findings; say how many on standard error."""
        judged = nodes()
        found = findings(told(suspicions(judged)), judged)
        text = json.dumps(found, ensure_ascii=False, indent=1)
        if options["output"] is None:
            self.stdout.write(text)
        else:
            options["output"].write_text(f"{text}\n", encoding="utf-8")
        if options["verbosity"] > 0:
            self.stderr.write(f"{len(found)} findings.")
