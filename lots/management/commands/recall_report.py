"""``manage.py recall_report --lot K26-06 -o FILE.pdf``: the report of a recall, before or during one."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from lots.dossier.recall_report import RecallReport
from lots.dossier.recall_words import Case
from lots.management.papers import add_language, found_lots, in_language, write
from lots.read.recall_starts import Start, at_lots, at_packaging, at_pair, at_plot
from lots.read.recalling import recall

ENDINGS = (".pdf", ".xlsx", ".csv")


class Command(BaseCommand):
    """Parses, then calls `lots.dossier.recall_report`."""

    help = "Makes a recall report for a lot or pack, for a plot, or for a stone pair and a span of time. The file's ending says which form."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare where it begins, the case, the language and the file."""
        begin = parser.add_mutually_exclusive_group(required=True)
        begin.add_argument("--lot", help="a lot code, the maker's own reference, or a pack code")
        begin.add_argument("--plot", help="the code of a plot")
        begin.add_argument("--packaging", help="a packaging lot, as it was scanned when labels were counted")
        begin.add_argument("--pair", help="the code of a stone pair; with --from and --until")
        parser.add_argument("--flush", type=int, help="of a plot: only this flush")
        moment = dt.datetime.fromisoformat
        parser.add_argument("--from", dest="first", type=moment, help="plucked from this day; or ground from this moment")
        parser.add_argument("--until", type=moment, help="plucked up to this day; or ground up to this moment")
        parser.add_argument("--case", default="")
        parser.add_argument("--reason", default="")
        parser.add_argument("--real", action="store_true", help="not a drill")
        parser.add_argument("--sheet", default="consignees", help="which sheet of a CSV; default consignees")
        parser.add_argument("-o", "--output", type=Path, required=True, help="a file that ends in .pdf, .xlsx or .csv")
        add_language(parser)

    def handle(self, *_: Any, **options: Any) -> None:
        """Make it."""
        path: Path = options["output"]
        if path.suffix not in ENDINGS:
            raise CommandError(f"{path} ends in none of {', '.join(ENDINGS)}: nobody could tell what it is to be.")
        case = Case(options["case"], not options["real"], options["reason"])
        with in_language(options["lang"]):
            report = RecallReport(recall(self.start(options)), case)
            data = self.made(report, path.suffix, options["sheet"])
            said = report.lead
        write(path, data)
        self.stdout.write(f"{path}: {len(data):,} bytes. {said}")

    def made(self, report: RecallReport, ending: str, sheet: str) -> bytes:
        """Return the report in the form of its file's ending."""
        if ending == ".pdf":
            return report.pdf()
        if ending == ".xlsx":
            return report.xlsx()
        chunks = report.csv(sheet)
        if chunks is None:
            keys = ", ".join(table.key for table in report.tables())
            raise CommandError(f"There is no sheet {sheet}; there are {keys}.")
        return b"".join(chunks)

    def start(self, options: dict[str, Any]) -> Start:
        """Return where it begins; raises CommandError where a stone pair has no span."""
        if options["lot"]:
            return at_lots(found_lots(options["lot"]))
        if options["packaging"]:
            return at_packaging(options["packaging"])
        first, until = options["first"], options["until"]
        if options["plot"]:
            return at_plot(options["plot"], options["flush"], first.date() if first else None, until.date() if until else None)
        if first is None or until is None:
            raise CommandError("Of a stone pair say from when to when: --from 2026-07-11 --until 2026-07-20T18:00.")
        return at_pair(options["pair"], aware(first), aware(until))


def aware(moment: dt.datetime) -> dt.datetime:
    """Return a moment at the mill, where it has no zone of its own."""
    return timezone.make_aware(moment) if timezone.is_naive(moment) else moment
