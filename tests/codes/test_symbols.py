"""QR symbols, read back by a decoder of another make."""

from __future__ import annotations

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from lots.codes.errors import CodeError
from lots.codes.links import code_from_scan, pack_address
from lots.codes.lots import new_lot_code
from lots.codes.packs import pack_code
from lots.codes.symbols import qr_modules, symbol_text

SECRET = bytes(range(32))
PACK = pack_code(5, 7, SECRET)
ADDRESS = pack_address("https://trace.example", PACK)
QUIET_MODULES = 4


def read(modules: tuple[tuple[bool, ...], ...], dots_per_module: int = 4) -> zxingcpp.Barcode:
    side = len(modules) + 2 * QUIET_MODULES
    picture = Image.new("L", (side, side), 255)
    for row, line in enumerate(modules):
        for column, dark in enumerate(line):
            picture.putpixel((column + QUIET_MODULES, row + QUIET_MODULES), 0 if dark else 255)
    size = side * dots_per_module
    found = zxingcpp.read_barcodes(picture.resize((size, size), Image.Resampling.NEAREST), formats=zxingcpp.BarcodeFormat.QRCodeModel2)
    assert len(found) == 1
    return found[0]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**24 - 1), st.integers(0, 2**20 - 1))
def test_a_pack_symbol_leads_back_to_its_code(run_no: int, pack_no: int) -> None:
    code = pack_code(run_no, pack_no, SECRET)
    seen = read(qr_modules(pack_address("https://trace.example", code)))
    assert seen.text == f"HTTPS://TRACE.EXAMPLE/P/{code}"
    assert seen.ec_level == "M"
    assert code_from_scan(seen.text) == code


def test_bare_codes_fit_the_smallest_symbols() -> None:
    lot = new_lot_code("R", 2026, 42)
    assert [read(qr_modules(code)).text for code in (PACK, lot)] == [PACK, lot]
    # Capacities of ISO/IEC 18004 at level M in capitals: size 1 holds 20 characters.
    assert len(qr_modules(PACK)) == len(qr_modules(lot)) == 21


def test_capitals_save_a_size() -> None:
    # 44 characters: at level M size 3 holds 61 capitals or 42 bytes, size 4 holds 62 bytes.
    assert len(qr_modules(ADDRESS)) == 29
    assert len(qr_modules(ADDRESS.lower())) == 33


@pytest.mark.parametrize(
    "text",
    ["https://trace.example/tea/p/" + PACK, ADDRESS + "?x=1", ADDRESS + "/", "https://trace.example/p/" + PACK.lower(),
     "https://trace.example/p/T0000", "https://user@trace.example/p/" + PACK, "https://茶.example/p/" + PACK, "Lot 7"],
)  # fmt: skip
def test_text_whose_case_may_matter_is_left_alone(text: str) -> None:
    assert symbol_text(text) == text
    assert read(qr_modules(text)).text == text


def test_capitals_mean_the_same_address() -> None:
    assert symbol_text(ADDRESS) == ADDRESS.upper()
    assert symbol_text("http://mill.example:8080/p/" + PACK) == "HTTP://MILL.EXAMPLE:8080/P/" + PACK


def test_the_symbol_is_square_and_without_a_border() -> None:
    modules = qr_modules(ADDRESS)
    assert {len(row) for row in modules} == {len(modules)}
    assert modules[0][:8] == (True,) * 7 + (False,)
    assert all(row[0] for row in modules[:7])


@pytest.mark.parametrize(("text", "said"), [("", "needs some text"), ("x" * 3000, "3000 characters are more")])
def test_what_no_symbol_carries_is_refused(text: str, said: str) -> None:
    with pytest.raises(CodeError, match=said):
        qr_modules(text)
