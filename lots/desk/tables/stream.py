"""A table of any length as a file for a spreadsheet, sent while it is read: UTF-8 with a mark at its head."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from django.http import StreamingHttpResponse

from lots.desk.tables.base import LedgerTable
from lots.desk.tables.files import MARK

#: A web server writes each piece by itself, so pieces are large.
PIECE_SIGNS = 65_536


def pieces(table: LedgerTable) -> Iterator[str]:
    """Yield the whole table as text, in pieces."""
    out = io.StringIO(newline="")
    out.write(MARK)
    writer = csv.writer(out)
    for row in table.as_csv_rows():
        writer.writerow(row)
        if out.tell() >= PIECE_SIGNS:
            yield out.getvalue()
            out.seek(0)
            out.truncate()
    yield out.getvalue()


def streamed(table: LedgerTable, name: str) -> StreamingHttpResponse:
    """Return the whole table, not only its page, as a file of this name."""
    answer = StreamingHttpResponse(pieces(table), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer
