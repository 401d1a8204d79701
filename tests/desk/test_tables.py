"""Tables: what eyes see, what a phone shows beside a value, and what a spreadsheet gets."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from decimal import Decimal
from typing import Any

import pytest
from django.template import engines
from django.test import RequestFactory
from django_tables2 import RequestConfig

from lots.codes.lots import new_lot_code, print_form
from lots.desk.tables.base import (
    CodeColumn,
    CountColumn,
    DayColumn,
    GramColumn,
    KgColumn,
    LabelledColumn,
    LedgerTable,
    MomentColumn,
    PercentColumn,
    SignedColumn,
    SignedKgColumn,
    VerdictColumn,
    WordColumn,
)
from lots.desk.tables.files import spreadsheet
from lots.genealogy.shares import Standing
from lots.trade.weighing import Verdict

LOT = new_lot_code("R", 2026, 1)


class LotTable(LedgerTable):
    caption = "Lots"
    code = CodeColumn("Lot")
    plot = WordColumn("Plot")
    grower = LabelledColumn("Grower")
    plucked_on = DayColumn("Plucked")
    written_at = MomentColumn("Written")
    mass_mg = KgColumn("kg as read")
    tub_mg = GramColumn("tub")
    left_mg = SignedKgColumn("found", default="")
    yield_frac = PercentColumn("yield")
    z = SignedColumn("from usual")
    pack_count = CountColumn("packs")
    verdict = VerdictColumn("Verdict")
    claim = VerdictColumn("Organic")


def row(**other: Any) -> dict[str, Any]:
    return {
        "code": LOT, "plot": "Long Mist", "grower": "Kawasemi", "plucked_on": dt.date(2026, 5, 15),
        "written_at": dt.datetime(2026, 5, 15, 9, 0, tzinfo=dt.UTC), "mass_mg": 1_043_690_000, "tub_mg": 895_400,
        "left_mg": -2_621_000, "yield_frac": 0.769, "z": -0.118, "pack_count": 1206, "verdict": Verdict.STOP,
        "claim": Standing.NOT_DECIDABLE,
    } | other


def drawn(table: LedgerTable, query: str = "", per_page: int = 2) -> str:
    request = RequestFactory().get(f"/lots/{query}")
    RequestConfig(request, paginate={"per_page": per_page}).configure(table)
    return str(engines["django"].from_string("{% load django_tables2 %}{% render_table table %}").render({"table": table}, request))


def test_figures_are_for_eyes() -> None:
    page = drawn(LotTable([row()]))
    for words in (print_form(LOT), "1,043.69", "895", "−2.62", "76.9", "−0.12", "1,206", "2026-05-15 (Fri)", "2026-05-15 (Fri) 18:00",
                  "<b>stop</b>", "<b>cannot be shown</b>"):
        assert words in page


def test_a_phone_shows_the_heading_beside_a_figure() -> None:
    page = drawn(LotTable([row()]))
    assert '<td class="r" data-l="kg as read">1,043.69</td>' in page
    assert 'data-l="Grower"' in page
    assert 'data-l="Plot"' not in page


def test_what_is_not_known_is_said_and_what_does_not_belong_is_left_empty() -> None:
    page = drawn(LotTable([row(yield_frac=None, left_mg=None)]))
    assert 'data-l="yield">not known</td>' in page
    assert 'data-l="found"></td>' in page
    assert "—" not in page


def test_the_first_column_heads_its_row_and_the_order_is_told() -> None:
    page = drawn(LotTable([row()], order_by="-mass_mg"))
    assert '<th scope="row"' in page
    assert 'aria-sort="descending"><a href="?sort=mass_mg">' in page
    assert page.count("aria-sort") == 1


def test_pages_are_words_and_a_new_order_begins_at_the_first() -> None:
    page = drawn(LotTable([row(), row(), row(), row(), row()]), "?page=2&plot=P5")
    assert re.search(r'rel="prev" href="\?page=1&amp;plot=P5">Back<', page)
    assert re.search(r'rel="next" href="\?page=3&amp;plot=P5">Next<', page)
    assert 'aria-current="page"><span class="vh">Page </span>2<' in page
    assert 'href="?plot=P5&amp;sort=plot"' in page


def test_an_empty_table_says_so() -> None:
    assert drawn(LotTable([])).strip() == '<p class="quiet">Nothing here yet.</p>'


def test_a_file_is_offered_where_there_is_one() -> None:
    table = LotTable([row()])
    assert "spreadsheet" not in drawn(table)
    table.csv_url, table.summary = "/lots/file/", "1 lot."
    assert '<span>1 lot.</span> <a class="go" href="/lots/file/">As a file for a spreadsheet</a>' in drawn(table)


def lines_of(table: LedgerTable) -> list[list[str]]:
    answer = spreadsheet(table, "lots")
    assert answer["Content-Disposition"] == 'attachment; filename="lots.csv"'
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_the_file_has_plain_figures_and_units_in_its_heading() -> None:
    heading, line = lines_of(LotTable([row()]))
    assert heading == ["Lot", "Plot", "Grower", "Plucked", "Written", "kg as read", "tub, g", "found, kg", "yield, %", "from usual",
                       "packs", "Verdict", "Organic"]
    assert line == [print_form(LOT), "Long Mist", "Kawasemi", "2026-05-15", "2026-05-15T18:00+09:00", "1043.69", "895", "-2.62", "76.9",
                    "-0.12", "1206", "stop", "cannot be shown"]


def test_the_file_begins_with_the_mark_that_spreadsheets_look_for() -> None:
    assert spreadsheet(LotTable([]), "lots").content.startswith("\ufeffLot,".encode())


def test_the_file_has_all_rows_in_the_order_of_the_page() -> None:
    table = LotTable([row(mass_mg=m) for m in (1_000_000, 3_000_000, 2_000_000)], order_by="-mass_mg")
    drawn(table, per_page=1)
    assert [line[5] for line in lines_of(table)[1:]] == ["3.00", "2.00", "1.00"]


@pytest.mark.parametrize("words", ["=1+1", "+8150", "-x", "@sum"])
def test_words_do_not_run_as_formulas(words: str) -> None:
    assert lines_of(LotTable([row(plot=words)]))[1][1] == f"'{words}"


def test_missing_values_stay_empty_in_a_file() -> None:
    assert lines_of(LotTable([row(yield_frac=None, z=None, plucked_on=None, verdict=None)]))[1][3] == ""


def test_exact_figures_are_not_made_floats() -> None:
    assert KgColumn(places=6).text(123_456_789_012_345_678) == "123456789012.345678"
    assert PercentColumn(places=3).text(Decimal("0.12345")) == "12.345"
