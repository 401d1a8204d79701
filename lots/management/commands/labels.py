"""``manage.py labels LOT -o FILE``: sheets of labels for packs or lots, as many as are asked for."""

from __future__ import annotations

import io
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from pypdf import PdfWriter

from lots.dossier.label_sheet import LABELS_MAX, lot_sheet, pack_sheet
from lots.management.papers import add_language, found_lots, in_language, write
from lots.management.progress import Progress
from lots.read.labelling import SeriesFace, lot_faces, series_faces


class Command(BaseCommand):
    """Parses, then calls `lots.dossier.label_sheet`, in parts where there are many."""

    help = "Makes sheets of labels as PDF: one for each pack of a series, or with --lots one for each lot that is named."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare lots, range, place on the sheet, language and file."""
        parser.add_argument("lot", nargs="+", help="the lot of a series of packs; with --lots any lots")
        parser.add_argument("--lots", action="store_true", help="labels for the lots themselves")
        parser.add_argument("--first", type=int, help="the first pack number; default the first of the series")
        parser.add_argument("--last", type=int, help="the last pack number; default the last of the series")
        parser.add_argument("--begin-at", type=int, default=1, help="the first free place on the first sheet, 1 to 24")
        parser.add_argument("-o", "--output", type=Path, required=True)
        add_language(parser)

    def handle(self, *_: Any, **options: Any) -> None:
        """Make them."""
        lots = [lot for text in options["lot"] for lot in found_lots(text).lots]
        with in_language(options["lang"]), Progress(quiet=options["verbosity"] == 0) as progress:
            if options["lots"]:
                data = lot_sheet(lot_faces(lots), options["begin_at"])
            else:
                data = self.packs(series_faces([lot.pk for lot in lots]), options, progress)
        write(options["output"], data)
        self.stdout.write(f"{options['output']}: {len(data):,} bytes.")

    def packs(self, faces: list[SeriesFace], options: dict[str, Any], progress: Progress) -> bytes:
        """Return the labels of a series, made in parts and put together."""
        face = the_series(faces, options["first"])
        first, last = options["first"] or face.first_no, options["last"] or face.last_no
        parts: list[bytes] = []
        begin_at = options["begin_at"]
        while first <= last or not parts:
            end = min(first + LABELS_MAX - begin_at, last)
            parts.append(pack_sheet(face, first, end, begin_at))
            first, begin_at = end + 1, 1
            progress.tell("labels", max(end - (options["first"] or face.first_no) + 1, 0), last - (options["first"] or face.first_no) + 1)
        return joined(parts)


def the_series(faces: list[SeriesFace], first_no: int | None) -> SeriesFace:
    """Return the series that is meant, or raise CommandError."""
    found = [face for face in faces if first_no is None or face.first_no <= first_no <= face.last_no]
    if len(found) == 1:
        return found[0]
    spans = ", ".join(f"{face.code} {face.first_no}-{face.last_no}" for face in faces) or "none"
    raise CommandError(f"Name one series by its lot code, or by --first. Series of this lot: {spans}.")


def joined(parts: list[bytes]) -> bytes:
    """Return PDF files as one."""
    if len(parts) == 1:
        return parts[0]
    whole, out = PdfWriter(), io.BytesIO()
    for part in parts:
        whole.append(io.BytesIO(part))
    whole.write(out)
    return out.getvalue()
