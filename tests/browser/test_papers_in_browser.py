"""Papers, from the links that people press: each opens, is what it says it is, and looks right to a reader of its kind."""

from __future__ import annotations

import csv
import io
from typing import Any
from urllib.parse import urljoin

import pytest
from django.urls import reverse
from openpyxl import load_workbook
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from lots.desk.words import printed
from tests.browser import screens
from tests.browser.sights import DESKTOP, PHONE
from tests.factories import hand

PDF, XLSX, CSV = "application/pdf", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "text/csv"


@pytest.fixture
def story(live_server: Any) -> screens.Story:
    return screens.tell()


@pytest.fixture
def desk(page_as: Any, story: screens.Story) -> Page:
    page: Page = page_as(DESKTOP, hand("quality"))
    return page


def handed_out(link: Locator) -> tuple[str, str, bytes]:
    """Kind, manner (inline or attachment) and content of what a link leads to, fetched with the browser's own cookies."""
    answer = link.page.request.get(urljoin(link.page.url, link.get_attribute("href") or ""))
    assert answer.ok
    assert answer.headers["x-content-type-options"] == "nosniff"
    kind = answer.headers["content-type"].partition(";")[0]
    return kind, answer.headers["content-disposition"].partition(";")[0], answer.body()


def words_of(paper: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages)


def lot_book(page: Page, code: str) -> None:
    page.goto(reverse("lot", args=[code]))


def test_the_dossier_opens_from_the_lot_book_in_either_language(desk: Page, story: screens.Story) -> None:
    lot_book(desk, story.chain.packed[0].code)
    link = desk.get_by_role("link", name="Dossier for a buyer or inspector")
    kind, manner, paper = handed_out(link)
    assert (kind, manner, paper[:5]) == (PDF, "inline", b"%PDF-")
    assert printed(story.chain.packed[0].code) in words_of(paper)
    answer = desk.request.get(reverse("dossier", args=[story.chain.packed[0].code]) + "?language=ja")
    assert answer.headers["content-type"] == PDF
    assert "ロット" in words_of(answer.body())


def test_the_recall_report_is_looked_at_first_and_comes_in_three_kinds(desk: Page, story: screens.Story) -> None:
    lot_book(desk, story.chain.packed[0].code)
    desk.get_by_role("link", name="Recall report").click()
    expect(desk.locator("h1")).to_have_text("Recall report")
    expect(desk.locator("main")).to_contain_text("Tea House East")
    kind, manner, paper = handed_out(desk.get_by_role("link", name="Print the report"))
    assert (kind, manner, paper[:5]) == (PDF, "inline", b"%PDF-")
    assert "Tea House East" in words_of(paper)
    with desk.expect_download() as saved:
        desk.get_by_role("link", name="As a workbook").click()
    assert saved.value.suggested_filename.endswith(".xlsx")
    book = load_workbook(io.BytesIO(saved.value.path().read_bytes()))
    assert any("Tea House East" in str(cell.value) for sheet in book for row in sheet for cell in row)
    kind, manner, paper = handed_out(desk.locator("main li a", has_text="Consignees").first)
    assert (kind, manner) == (CSV, "attachment")
    assert any("Tea House East" in cell for row in csv.reader(io.StringIO(paper.decode("utf-8-sig"))) for cell in row)


def test_a_sheet_of_labels_is_asked_for_and_made(desk: Page, story: screens.Story) -> None:
    lot_book(desk, story.chain.packed[0].code)
    desk.get_by_role("link", name="Sheet of labels").click()
    expect(desk.locator("h1")).to_have_text("Labels")
    assert desk.input_value("[name=lots]").strip() == story.chain.packed[0].code
    asked = desk.evaluate("'?' + new URLSearchParams(new FormData(document.querySelector('main form')))")
    answer = desk.request.get(reverse("label-sheet") + asked)
    assert answer.headers["content-type"] == PDF
    assert len(PdfReader(io.BytesIO(answer.body())).pages) == 1


def test_lists_are_saved_as_files_in_the_order_of_the_screen(desk: Page) -> None:
    for url in (reverse("lots"), reverse("balance") + "?by=all"):
        desk.goto(url)
        kind, manner, text = handed_out(desk.get_by_role("link", name="As a file for a spreadsheet"))
        assert (kind, manner, text[:3]) == (CSV, "attachment", b"\xef\xbb\xbf")
        heading, *rows = csv.reader(io.StringIO(text.decode("utf-8-sig")))
        assert len(rows) >= desk.locator("tbody tr").count() > 0
        assert all(len(row) == len(heading) for row in rows)


def test_papers_open_from_a_phone_too(page_as: Any, story: screens.Story) -> None:
    page: Page = page_as(PHONE, hand("auditor"))
    page.goto(reverse("papers"))
    page.fill("[name=code]", story.chain.packed[0].code)
    page.locator("[name=code]").press("Enter")
    page.wait_for_url("**#papers")
    kind, _manner, paper = handed_out(page.get_by_role("link", name="Dossier for a buyer or inspector"))
    assert (kind, paper[:5]) == (PDF, b"%PDF-")
    assert page.get_by_role("link", name="Sheet of labels").count() == 0  # an auditor prints no labels
