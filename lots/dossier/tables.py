"""Tables that leave the house as files: plain cells, one heading row, nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from lots.dossier.typefaces import settable

Cell = str | int | Decimal | dt.date | dt.datetime | None
#: What a spreadsheet takes for the beginning of a formula, in both widths.
FORMULA_SIGNS = frozenset("=+-@\t\r\n＝＋－＠")
#: Spreadsheets look for this at the head of a file in UTF-8.
MARK = "\ufeff"
CHUNK_ROWS = 500
WIDEST_SIGNS = 60
SHEET_NAME_SIGNS = 31


@dataclass(frozen=True, slots=True)
class Table:
    """One kind of rows: a key for addresses, a title, headings (with their units) and rows of plain values."""

    key: str
    title: str
    headings: tuple[str, ...]
    rows: Sequence[tuple[Cell, ...]]


def neutral(text: str) -> str:
    """Return text that a spreadsheet shows and never runs: what begins like a formula gets an apostrophe before it."""
    plain = "".join(sign if sign in "\n\t" or sign.isprintable() or sign == " " else " " for sign in settable(text))
    return f"'{plain}" if plain.lstrip(" \u00a0\u3000")[:1] in FORMULA_SIGNS and plain.strip() else plain


def written(value: Cell) -> str:
    """Return one cell as a file of text has it: a point as decimal mark, days and moments as ISO 8601 writes them."""
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return timezone.localtime(value).isoformat(timespec="minutes")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    return neutral(value) if isinstance(value, str) else str(value)


def csv_chunks(table: Table) -> Iterator[bytes]:
    """Yield a table as CSV, UTF-8 with its mark, some hundred rows at a time."""
    head = written_rows([tuple(table.headings)])
    yield (MARK + head).encode()
    for at in range(0, len(table.rows), CHUNK_ROWS):
        yield written_rows(table.rows[at : at + CHUNK_ROWS]).encode()


def written_rows(rows: Iterable[tuple[Cell, ...]]) -> str:
    """Return rows as CSV."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows([written(cell) for cell in row] for row in rows)
    return out.getvalue()


def workbook(tables: Sequence[Table], title: str, as_of_at: dt.datetime) -> bytes:
    """Return tables as one XLSX, a sheet for each kind, with a heading that stays and a filter on every column."""
    book = Workbook(write_only=True)
    book.properties.title, book.properties.creator = title, ""
    book.properties.created = book.properties.modified = as_of_at.astimezone(dt.UTC).replace(tzinfo=None)
    for table in tables:
        fill(book.create_sheet(sheet_name(table.title)), table)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def sheet_name(title: str) -> str:
    """Return a title as a sheet may be named."""
    return "".join(" " if sign in r"[]:*?/\'" else sign for sign in title).strip()[:SHEET_NAME_SIGNS]


def fill(sheet: WriteOnlyWorksheet, table: Table) -> None:
    """Write one table into its sheet."""
    sheet.freeze_panes = "A2"
    for number, wide in enumerate(column_widths(table), 1):
        sheet.column_dimensions[get_column_letter(number)].width = wide
    if table.headings:
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(table.headings))}{len(table.rows) + 1}"
    sheet.append([heading_cell(sheet, words) for words in table.headings])
    for row in table.rows:
        sheet.append([body_cell(sheet, value) for value in row])


def column_widths(table: Table) -> list[int]:
    """Return how many signs each column needs, within reason."""
    columns = zip(table.headings, *([written(c) for c in row] for row in table.rows), strict=True)
    return [min(max(sum(2 if ord(sign) > 0x2E7F else 1 for sign in cell) for cell in column) + 2, WIDEST_SIGNS) for column in columns]


def heading_cell(sheet: WriteOnlyWorksheet, words: str) -> WriteOnlyCell:
    """Return a heading."""
    cell = WriteOnlyCell(sheet, value=neutral(words))
    cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
    return cell


def body_cell(sheet: WriteOnlyWorksheet, value: Cell) -> WriteOnlyCell:
    """Return a cell: a figure as a figure, a moment as the mill's clock shows it, words as words whatever they begin with."""
    if isinstance(value, dt.datetime):
        value = timezone.localtime(value).replace(tzinfo=None)
    cell = WriteOnlyCell(sheet, value=neutral(value) if isinstance(value, str) else value)
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = value[:1] in FORMULA_SIGNS
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    elif isinstance(value, dt.datetime):
        cell.number_format = "yyyy-mm-dd hh:mm"
    elif isinstance(value, dt.date):
        cell.number_format = "yyyy-mm-dd"
    return cell


def table_of(tables: Sequence[Table], key: str) -> Table | None:
    """Return the table of a key."""
    return next((each for each in tables if each.key == key), None)


def file_name(*words: str) -> str:
    """Return a file's name of plain signs: "recall-K26-06"."""
    joined = "-".join(word for word in words if word)
    return "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-_.") else "-" for sign in joined).strip("-.") or _("paper")
