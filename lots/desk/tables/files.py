"""A table as a file for a spreadsheet: UTF-8 with a mark at its head, because spreadsheets look for it."""

from __future__ import annotations

import csv
import io

from django.http import HttpResponse

from lots.desk.tables.base import LedgerTable

MARK = "\ufeff"


def spreadsheet(table: LedgerTable, name: str) -> HttpResponse:
    """Return the whole table, not only its page, as a file of this name."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(table.as_csv_rows())
    answer = HttpResponse(MARK + out.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer
