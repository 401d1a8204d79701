"""Files for a spreadsheet: nothing in them runs, figures stay figures."""

from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from lots.dossier.tables import MARK, Table, csv_chunks, file_name, neutral, sheet_name, workbook, written

NOW = timezone.make_aware(dt.datetime(2026, 7, 14, 8, 10))  # noqa: DTZ001 - made aware here
HOSTILE = ["=1+1", "+SUM(A1)", "-2+3", "@cmd", "\t=1", "\r=1", "\n=1", "＝1+1", ' =HYPERLINK("http://example.com")', "\u3000=1", '=cmd|" /C calc"!A0']


@pytest.mark.parametrize("text", HOSTILE)
def test_a_formula_is_kept_words(text: str) -> None:
    assert neutral(text).startswith("'")
    assert neutral(text).endswith(text.strip("\r\n\t")[-1])


@pytest.mark.parametrize("text", ["Tea Room North", "髙﨑 ㈱", "5 °C", "", "O'Hara", "−2.62 kg"])
def test_plain_words_stay_as_they_are(text: str) -> None:
    assert neutral(text) == text


@given(st.text())
def test_no_text_begins_like_a_formula(text: str) -> None:
    assert neutral(text).lstrip(" \u00a0\u3000")[:1] not in set("=+-@\t\r＝＋－＠") or not neutral(text).strip()


@given(st.lists(st.lists(st.text(), min_size=3, max_size=3), max_size=12))
def test_csv_reads_back_row_by_row(rows: list[list[str]]) -> None:
    table = Table("t", "t", ("a", "b", "c"), [tuple(row) for row in rows])
    text = b"".join(csv_chunks(table)).decode()
    assert text.startswith(MARK)
    assert list(csv.reader(io.StringIO(text[1:], newline=""))) == [["a", "b", "c"], *([written(c) for c in row] for row in rows)]


def test_csv_comes_in_pieces() -> None:
    chunks = list(csv_chunks(Table("t", "t", ("n",), [(n,) for n in range(1201)])))
    assert len(chunks) == 4
    assert b"".join(chunks).count(b"\r\n") == 1202


def test_figures_and_moments_in_a_file() -> None:
    assert [written(v) for v in (None, 12, Decimal("0.500"), dt.date(2026, 7, 14), NOW)] == ["", "12", "0.500", "2026-07-14", "2026-07-14T08:10+09:00"]


def test_a_workbook_has_a_sheet_for_each_table_with_a_heading_that_stays() -> None:
    rows = [("=1+1", 5, Decimal("1.25"), dt.date(2026, 7, 14), NOW), ("髙﨑 ㈱", 7, None, None, None)]
    tables = [Table("one", "Series: of/packs", ("what", "count", "kg", "day", "when"), rows), Table("two", "Empty", ("a",), [])]
    book = load_workbook(io.BytesIO(workbook(tables, "A title", NOW)))
    assert book.sheetnames == ["Series  of packs", "Empty"]
    sheet = book.worksheets[0]
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("A2", "A1:E3")
    first = [cell.value for cell in sheet[2]]
    assert first == ["'=1+1", 5, 1.25, dt.datetime(2026, 7, 14), dt.datetime(2026, 7, 14, 8, 10)]  # noqa: DTZ001 - a workbook knows no zones
    assert [cell.data_type for cell in sheet[2]] == ["s", "n", "n", "d", "d"]
    assert not any(cell.data_type == "f" for each in book.worksheets for row in each for cell in row)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_cell_of_a_workbook_is_a_formula(text: str) -> None:
    book = load_workbook(io.BytesIO(workbook([Table("t", "t", (text,), [(text,)])], text, NOW)))
    assert {cell.data_type for row in book.worksheets[0] for cell in row} == {"s"}


def test_names_of_sheets_and_files_are_plain() -> None:
    assert sheet_name("[a]:*?/\\'" + "x" * 60) == "a" + " " * 7 + "x" * 23
    assert file_name("recall", "K26/06 髙", "") == "recall-K26-06"
    assert file_name("", "髙") != ""
