"""The renderer: own files only, own faces only, the same bytes from the same record."""

from __future__ import annotations

import io
import logging
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.utils import translation
from pypdf import PdfReader
from weasyprint.urls import FatalURLFetchingError

from lots.dossier import typefaces
from lots.dossier.faults import PaperFault
from lots.dossier.pdf import Complaints, Head, OwnFiles, page_of, printed

PAGE = '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A paper</title></head><body>{}</body></html>'
HEAD = Head("Labels of nothing", datetime(2026, 7, 14, 8, 10, tzinfo=UTC))
BOTH = {"BIZ-UDPGothic", "BIZ-UDPGothic-Bold", "BIZ-UDGothic", "BIZ-UDGothic-Bold"}


def faces_in(pdf: bytes) -> set[str]:
    found = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        fonts = page["/Resources"].get_object().get("/Font", {}).get_object()  # type: ignore[union-attr]
        found |= {str(font.get_object()["/BaseFont"]).partition("+")[2] for font in fonts.values()}
    return found


@pytest.mark.parametrize("address", [
    "http://example.com/a.png", "https://example.com/a.css", "ftp://example.com/a", "file:///etc/passwd", "file:///etc/fonts/fonts.conf",
    "data:image/png;base64,iVBORw0KGgo=", "file://example.com/share/a.png", "file:///proc/self/environ",
])
def test_nothing_but_our_own_files_is_read(address: str) -> None:
    with pytest.raises(FatalURLFetchingError, match="no file of ours"):
        OwnFiles().fetch(address)
    with pytest.raises(PaperFault, match="no file of ours"):
        printed(PAGE.format(f'<img src="{address}" alt="">'))


@pytest.mark.parametrize("markup", [
    '<link rel="stylesheet" href="http://example.com/a.css">', '<style>@import "http://example.com/a.css";</style>',
    '<p style="background:url(http://example.com/a.png)">words</p>', '<object data="file:///etc/passwd"></object>',
    '<svg width="9" height="9"><image href="http://example.com/a.png" width="9" height="9"/></svg>',
    "<style>@font-face{font-family:x;src:url(http://example.com/x.ttf)} p{font-family:x}</style><p>words</p>",
])
def test_no_markup_reaches_outside(markup: str) -> None:
    with pytest.raises(PaperFault):
        printed(PAGE.format(markup))


def test_a_path_that_climbs_out_of_our_folder_is_refused(settings: object) -> None:
    from django.conf import settings as site

    inside = (Path(site.BASE_DIR) / "static" / "css" / "paper.css").as_uri()
    assert OwnFiles().fetch(inside).read()
    with pytest.raises(FatalURLFetchingError):
        OwnFiles().fetch(inside.replace("css/paper.css", "../manage.py"))
    with pytest.raises(FatalURLFetchingError):
        OwnFiles().fetch(inside.replace("css/paper.css", "%2e%2e/manage.py"))


def test_every_sign_of_a_surname_and_a_unit_is_set_in_our_faces() -> None:
    pdf = printed(PAGE.format('<p>髙﨑 ㈱ ① ℃ ㎡ ‰ → ≤ ≥ ½ √ − ・ 「」 12.5 kg <b>夜風谷</b></p><p class="fix">R26-0001A8 <b>箱</b></p>'))
    assert faces_in(pdf) == BOTH
    text = PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert all(sign in text for sign in "髙﨑㈱℃≤½√−夜")


def test_faces_are_embedded_and_can_be_read_back() -> None:
    page = PdfReader(io.BytesIO(printed(PAGE.format("<p>髙</p>")))).pages[0]
    font = next(iter(page["/Resources"].get_object()["/Font"].get_object().values())).get_object()  # type: ignore[index,union-attr]
    inner = font["/DescendantFonts"][0].get_object()
    assert "/ToUnicode" in font
    assert any(key.startswith("/FontFile") for key in inner["/FontDescriptor"].get_object())


@pytest.mark.parametrize("sign", ["🍵", "𠮷", "ⴰ", "ا"])
def test_a_sign_without_a_shape_is_an_error_and_names_the_sign(sign: str) -> None:
    with pytest.raises(PaperFault, match=f"U\\+{ord(sign):04X}"):
        printed(PAGE.format(f"<p>before {sign} after</p>"))


def test_a_folder_without_the_face_says_what_to_do(settings: object, tmp_path: Path) -> None:
    settings.LEDGER_PAPER_FONT_DIR = tmp_path  # type: ignore[attr-defined]
    with pytest.raises(PaperFault, match="fonts-morisawa-bizud-gothic"):
        printed(PAGE.format("<p>words</p>"))


def test_a_file_that_is_no_face_is_named(settings: object, tmp_path: Path) -> None:
    for cut in ("Regular", "Bold"):
        (tmp_path / f"Other-{cut}.ttf").write_bytes(b"not a face")
    settings.LEDGER_PAPER_FONT_DIR = tmp_path  # type: ignore[attr-defined]
    with pytest.raises(PaperFault, match="cannot be read"):
        printed(PAGE.format("<p>words</p>"))


def test_signs_that_turn_the_reading_around_are_left_out() -> None:
    assert typefaces.settable("Delta\u202egnp\u0000 \u200bKoh\ufeff\n") == "Deltagnp \u200bKoh\n"


def test_the_same_record_gives_the_same_bytes() -> None:
    page = PAGE.format("<h1>髙 words</h1><svg width='40' height='20' font-family='BIZ UDPGothic'><text x='2' y='15'>words</text></svg>")
    assert printed(page) == printed(page)


def test_a_paper_says_its_language_title_and_the_moment_of_the_record() -> None:
    with translation.override("ja"):
        pdf = PdfReader(io.BytesIO(printed(page_of("paper/labels.html", {"sheets": [], "house_name": "", "title": ""}, HEAD))))
    assert pdf.trailer["/Root"]["/Lang"] == "ja"  # type: ignore[index]
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Labels of nothing"
    assert pdf.metadata.creation_date == pdf.metadata.modification_date == HEAD.as_of_at
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"] == True  # type: ignore[index]  # noqa: E712 - a PDF's own kind of true


def test_a_complaint_of_the_renderer_is_no_paper() -> None:
    with pytest.raises(PaperFault, match="could not be set"):
        printed(PAGE.format("<style>p { colour: black }</style><p>words</p>"))


def test_complaints_of_other_threads_are_theirs() -> None:
    import threading

    with Complaints() as mine:
        other = threading.Thread(target=logging.getLogger("weasyprint").warning, args=("theirs",))
        other.start()
        other.join()
        logging.getLogger("weasyprint").warning("ours")
    assert mine.said == ["ours"]


def test_a_long_table_repeats_its_heading_and_splits_no_row(read_pdf: Callable[[bytes], str]) -> None:
    rows = "".join(f"<tr><td>row {n}</td><td>first line {n}<br>second line {n}</td></tr>" for n in range(120))
    pdf = printed(PAGE.format(f"<table><thead><tr><th>HEADING</th><th>what</th></tr></thead><tbody>{rows}</tbody></table>"))
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    assert len(pages) > 2
    assert all("HEADING" in page for page in pages)
    assert all((f"first line {n}\n" in page) == (f"second line {n}" in page.split("\n")) for page in pages for n in range(120) if f"first line {n}\n" in page)
