"""The pages at the desk from which papers are asked for."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from lots.desk.urls_papers import PAPER_ROLES, paper_patterns

Desk = Callable[[str], Client]


def said(response: Any) -> str:
    return " ".join(response.content.decode().split())


def pdf_of(response: Any) -> PdfReader:
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(response.content))


def test_every_paper_has_a_row_of_roles() -> None:
    assert {pattern.name for pattern in paper_patterns} == set(PAPER_ROLES)


def test_a_dossier_opens_in_the_browser_in_the_language_asked_for(at_desk: Desk) -> None:
    answer = at_desk("auditor").get(reverse("dossier", args=["K26-06"]), {"language": "ja", "reader": "inspector"})
    assert pdf_of(answer).trailer["/Root"]["/Lang"] == "ja"  # type: ignore[index]
    assert answer["Content-Disposition"] == 'inline; filename="dossier-K26-06-ja.pdf"'


def test_a_dossier_of_no_lot_is_not_found(at_desk: Desk) -> None:
    assert at_desk("clerk").get(reverse("dossier", args=["K99"])).status_code == 404


def test_asking_for_a_dossier_leads_to_it(at_desk: Desk) -> None:
    desk = at_desk("clerk")
    assert 'name="lot"' in said(desk.get(reverse("dossier")))
    answer = desk.get(reverse("dossier"), {"lot": "k26-06", "reader": "buyer", "language": "en"})
    assert answer.status_code == 302
    assert urlsplit(answer["Location"]).path == reverse("dossier", args=["K26-06"])
    assert "No lot and no pack is called K99" in said(desk.get(reverse("dossier"), {"lot": "K99"}))


def test_what_is_in_the_way_of_a_paper_is_a_sentence(at_desk: Desk, settings: Any, tmp_path: Any) -> None:
    settings.LEDGER_PAPER_FONT_DIR = tmp_path
    answer = at_desk("clerk").get(reverse("dossier", args=["K26-06"]))
    assert answer.status_code == 409
    assert "fonts-morisawa-bizud-gothic" in said(answer)


def test_the_recall_page_shows_the_answer_before_the_paper(at_desk: Desk) -> None:
    desk = at_desk("recall_lead")
    page = said(desk.get(reverse("recall"), {"lot": "K26-06", "kind": "drill"}))
    for words in ("1,065 packs were made", "Tea Room North", "000-0001", "may have received", "by the book", "601–900"):
        assert words in page
    assert reverse("recall-report", args=["pdf"]) in page


def test_counts_from_the_shelf_go_into_the_page_and_the_files(at_desk: Desk) -> None:
    from lots.models import PackedUnit

    unit = PackedUnit.objects.get(lot__maker_ref="K26-06", product__code="T30", retained=False)
    desk, asked = at_desk("recall_lead"), {"lot": "K26-06", f"counted-{unit.pk}": "45"}
    assert "Not accounted for: +3" in said(desk.get(reverse("recall"), asked))
    book = load_workbook(io.BytesIO(desk.get(reverse("recall-report", args=["xlsx"]), asked).content))
    assert {row[0].value: row[1].value for row in book["Summary"].iter_rows()}["Not accounted for"] == 3
    assert "Not accounted for: 0" in said(desk.get(reverse("recall"), {**asked, f"counted-{unit.pk}": "many"}))


@pytest.mark.parametrize("asked", [
    {"lot": "K26-06"}, {"plot": "P1", "flush_no": "1"}, {"pair": "SP5", "from_at": "2026-07-01", "until_at": "2026-07-20 18:00"},
])
def test_every_beginning_gives_every_form(at_desk: Desk, asked: dict[str, str]) -> None:
    desk = at_desk("quality")
    assert len(pdf_of(desk.get(reverse("recall-report", args=["pdf"]), asked)).pages) >= 3
    assert desk.get(reverse("recall-report", args=["xlsx"]), asked)["Content-Type"].endswith("spreadsheetml.sheet")
    sheet = desk.get(reverse("recall-report", args=["csv"]), {**asked, "sheet": "series"})
    assert sheet["Content-Disposition"].startswith('attachment; filename="recall-')
    assert b"".join(sheet.streaming_content).decode().splitlines()[1].count(",") > 10


@pytest.mark.parametrize(("asked", "sentence"), [
    ({"case": "1"}, "Say where it begins"),
    ({"lot": "K26-06", "plot": "P1"}, "One beginning at a time"),
    ({"pair": "SP5"}, "Say from when to when the pair ground it."),
    ({"pair": "SP5", "from_at": "2026-07-20", "until_at": "2026-07-01"}, "The end lies before the beginning."),
    ({"pair": "SP5", "from_at": "yesterday", "until_at": "2026-07-01"}, "is no time"),
    ({"plot": "P1", "flush_no": "first"}, "is no whole number"),
    ({"lot": "K99"}, "No lot and no pack is called K99"),
    ({"lot": "T0000400SSSW0R00ZFW2"}, "gave out the pack code"),
])
def test_a_question_that_cannot_be_answered_says_why(at_desk: Desk, asked: dict[str, str], sentence: str) -> None:
    desk = at_desk("recall_lead")
    assert sentence in said(desk.get(reverse("recall"), asked))
    back = desk.get(reverse("recall-report", args=["pdf"]), asked)
    assert back.status_code == 302
    assert parse_qs(urlsplit(back["Location"]).query).keys() == asked.keys()


def test_a_sheet_that_a_report_does_not_have_is_not_found(at_desk: Desk) -> None:
    assert at_desk("quality").get(reverse("recall-report", args=["csv"]), {"lot": "K26-06", "sheet": "x"}).status_code == 404


def test_labels_are_asked_for_and_made(at_desk: Desk) -> None:
    desk, page = at_desk("packing"), reverse("label-sheet")
    assert 'value="K26-06"' in said(desk.get(page, {"lots": "K26-06"}))
    made = desk.get(page, {"make": "1", "lots": "K26-06", "first_no": "401", "last_no": "410", "language": "ja"})
    assert len(pdf_of(made).pages) == 1
    assert len(pdf_of(desk.get(page, {"make": "1", "kind": "lots", "lots": "R26-SG1 S26-06", "begin_at": "24"})).pages) == 2


@pytest.mark.parametrize(("asked", "sentence"), [
    ({"lots": ""}, "This field"), ({"lots": "K26-06"}, "Several series carry this lot"), ({"lots": "R26-SG1"}, "No packs carry this lot"),
    ({"lots": "K26-06", "first_no": "1"}, "one request makes 240 at most"), ({"lots": "K26-06", "begin_at": "25"}, "A sheet has 24 places"),
    ({"lots": "K99"}, "No lot and no pack is called K99"),
])
def test_labels_that_cannot_be_made_say_why(at_desk: Desk, asked: dict[str, str], sentence: str) -> None:
    assert sentence in said(at_desk("packing").get(reverse("label-sheet"), {"make": "1", **asked}))


def test_papers_are_kept_from_those_who_have_no_role_for_them(at_desk: Desk) -> None:
    assert at_desk("packing").get(reverse("recall")).status_code == 403
    assert at_desk("packing").get(reverse("recall-report", args=["pdf"]), {"lot": "K26-06"}).status_code == 403
    assert at_desk("auditor").get(reverse("label-sheet")).status_code == 403
    assert Client().get(reverse("dossier", args=["K26-06"])).status_code == 302
    assert at_desk("clerk").post(reverse("dossier")).status_code == 405
