"""Labels: read back by an independent decoder, at their true size, and the page that a symbol opens."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import zxingcpp
from django.test import Client
from PIL import Image

from lots.codes.packs import belongs, split
from lots.dossier import label_sheet
from lots.dossier.faults import PaperFault
from lots.dossier.label_sheet import LABELS_MAX, PER_SHEET, lot_sheet, pack_sheet
from lots.models import Lot, PackSecret
from lots.read.labelling import LotFace, SeriesFace, lot_faces, series_faces

MM_PER_INCH = 25.4


def pictures(pdf: bytes, folder: Path, dpi: int) -> list[Image.Image]:
    """The sheets as a printer sees them."""
    (folder / "sheet.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "sheet.pdf", f"p{dpi}"], cwd=folder, check=True)
    return [Image.open(path) for path in sorted(folder.glob(f"p{dpi}-*.pgm"))]


def read(sheets: list[Image.Image]) -> list[zxingcpp.Barcode]:
    # Model 2 by name: "QRCode" also looks for the micro form, and now and then finds one of three digits inside a label's code.
    return [code for sheet in sheets for code in zxingcpp.read_barcodes(sheet, formats=zxingcpp.BarcodeFormat.QRCodeModel2)]


def tins() -> SeriesFace:
    return series_faces(Lot.objects.filter(maker_ref="K26-06").values_list("pk", flat=True))[0]


def some_lots(*refs: str) -> list[LotFace]:
    return lot_faces(list(Lot.objects.select_related("step").filter(maker_ref__in=refs).order_by("pk")))


@pytest.mark.parametrize("dpi", [150, 203])
def test_every_pack_label_is_read_back(demo: None, tmp_path: Path, dpi: int) -> None:
    face = tins()
    sheets = pictures(pack_sheet(face, 401, 450), tmp_path, dpi)
    codes = read(sheets)
    parts = [split(urlsplit(code.text).path.rpartition("/")[2]) for code in codes]
    secret = bytes(PackSecret.objects.get(pk=face.run_no).secret)
    assert len(sheets) == 3
    assert sorted(part.pack_no for part in parts if part) == list(range(401, 451))
    assert all(belongs(part, secret) for part in parts)
    assert {urlsplit(code.text.lower()).netloc for code in codes} == {"127.0.0.1:8000"}
    assert {code.ec_level for code in codes} == {"M"}


def test_the_page_of_a_printed_label_shows_its_pack(demo: None, tmp_path: Path) -> None:
    codes = read(pictures(pack_sheet(tins(), 412, 412), tmp_path, 203))
    assert len(codes) == 1
    path = urlsplit(codes[0].text).path
    for address in (path, path.replace("/P/", "/p/")):
        page = Client().get(f"{address}?lang=en")
        said = " ".join(page.content.decode().split())
        assert page.status_code == 200, address
        for words in ("Okuyutaka", "Long Mist", "Kawasemi household", "2026-05-15", "flush 1", "K26-06", "30", "2027-01-20", "Known to the mill"):
            assert words in said


def test_a_label_says_what_it_is_in_words(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    from lots.codes.packs import pack_code, print_form

    face = tins()
    text = read_pdf(pack_sheet(face, 412, 412))
    code = print_form(pack_code(face.run_no, 412, bytes(PackSecret.objects.get(pk=face.run_no).secret)))
    for words in ("Tin", "Stone-milled powdered green tea", "Net 30 g", "Best before 2027-01-20", "Lot K26-06, pack 412", code):
        assert words in text


@pytest.mark.parametrize("dpi", [150, 203])
def test_lot_labels_carry_the_code_without_hyphen_and_the_stage_in_words(
    demo: None, tmp_path: Path, dpi: int, read_pdf: Callable[[bytes], str]
) -> None:
    faces = some_lots("R26-SG1", "S26-06", "H26-LT1")
    pdf = lot_sheet(faces)
    assert sorted(code.text for code in read(pictures(pdf, tmp_path, dpi))) == sorted(face.code for face in faces)
    text = read_pdf(pdf)
    for words in ("Sorting", "Sieve", "Leaf in", "R26-SG1", "43.69 kg", f"{faces[0].code[:3]}-{faces[0].code[3:]}"):
        assert words in text


def test_a_sheet_is_printed_at_its_true_size(demo: None, tmp_path: Path) -> None:
    """At 254 dpi a dot is a tenth of a millimetre."""
    sheet = pictures(pack_sheet(tins(), 1, PER_SHEET), tmp_path, 254)[0]
    assert (sheet.width // 10, sheet.height // 10) == (210, 297)
    foot = sheet.crop((0, 2850, 2100, 2950)).point(lambda grey: 255 if grey < 128 else 0)
    bar = max((box for box in bars(foot)), key=lambda width: width)
    assert abs(bar - 500) <= 2
    places = sorted((code.position.top_left.y, code.position.top_left.x) for code in read([sheet]))
    assert len(places) == PER_SHEET
    columns = sorted({round(x / 700) for _, x in places})
    assert columns == [0, 1, 2]
    tops = sorted({y for y, _ in places})
    assert abs(tops[-1] - tops[0] - 7 * 339) <= 6


def test_words_and_symbols_keep_their_places_down_the_sheet(demo: None, tmp_path: Path) -> None:
    """The words are set by the renderer and the symbols drawn beside it: both count from the same measures."""
    (tmp_path / "a.pdf").write_bytes(pack_sheet(tins(), 1, PER_SHEET))
    boxes = subprocess.run(["pdftotext", "-bbox", "a.pdf", "-"], cwd=tmp_path, check=True, capture_output=True, text=True).stdout
    tops = sorted({float(top) for top in re.findall(r'yMin="([\d.]+)"[^>]*>Tin<', boxes)})
    assert len(tops) == 8
    assert all(abs(below - above - 33.9 * 72 / 25.4) < 0.05 for above, below in pairwise(tops))


def bars(picture: Image.Image) -> list[int]:
    """Lengths of the longest run of dark dots in each row."""
    return [max(len(run) for run in picture.crop((0, y, picture.width, y + 1)).tobytes().split(b"\x00")) for y in range(picture.height)]


def test_a_begun_sheet_is_used_up(demo: None, tmp_path: Path) -> None:
    sheets = pictures(lot_sheet(some_lots("R26-SG1"), begin_at=PER_SHEET), tmp_path, 150)
    place = read(sheets)[0].position.top_left
    assert len(sheets) == 1
    assert place.x > 2 * sheets[0].width / 3
    assert place.y > 7 * sheets[0].height / 8 - 60


@pytest.mark.parametrize(("first", "last"), [(0, 5), (947, 949), (20, 10), (949, 949)])
def test_a_range_that_the_series_does_not_have_is_refused(demo: None, first: int, last: int) -> None:
    with pytest.raises(PaperFault, match="numbers 1 to 948"):
        pack_sheet(tins(), first, last)


def test_more_than_one_request_makes_is_refused(demo: None) -> None:
    with pytest.raises(PaperFault, match="241 labels"):
        pack_sheet(tins(), 1, LABELS_MAX + 1)
    with pytest.raises(PaperFault, match="1 to 24"):
        pack_sheet(tins(), 1, 1, begin_at=25)
    with pytest.raises(PaperFault, match="No lot was named"):
        lot_sheet([])


def test_a_run_whose_secret_was_erased_gets_no_labels(demo: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(label_sheet, "codes_of", lambda *_: None)
    with pytest.raises(PaperFault, match="secret of run 2 was erased"):
        pack_sheet(tins(), 1, 1)


def test_an_address_that_cannot_stand_on_a_pack_is_refused(demo: None, settings: object) -> None:
    settings.LEDGER_PUBLIC_ADDRESS = "trace.example"  # type: ignore[attr-defined]
    with pytest.raises(PaperFault, match="cannot carry pack addresses"):
        pack_sheet(tins(), 1, 1)
