"""The code in whatever a scanner or a person sent."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.codes.errors import CodeError
from lots.codes.links import SCAN_MAX, code_from_scan, kind_of, pack_address
from lots.codes.lots import LETTERS, new_lot_code
from lots.codes.lots import print_form as print_lot
from lots.codes.packs import PACK_NO_MAX, RUN_NO_MAX, pack_code
from lots.codes.packs import print_form as print_pack
from lots.codes.signs import SIGNS

SECRET = bytes(range(32))
PACK, LOT = pack_code(5, 7, SECRET), new_lot_code("R", 2026, 42)
ADDRESS = f"https://trace.example/p/{PACK}"
PACKS = st.builds(lambda run, number: pack_code(run, number, SECRET), st.integers(0, RUN_NO_MAX), st.integers(0, PACK_NO_MAX))
LOTS = st.builds(new_lot_code, st.sampled_from(LETTERS), st.integers(2000, 2099), st.integers(0, 10**6))
#: Where : / . - and _ arrive when a scanner set for one layout types into another (common practice, no source).
LAYOUTS = {
    "same": {},
    "German": {":": "Ö", "/": "-", "-": "ß", "_": "?"},
    "Japanese": {":": "+", "_": "=", "@": '"'},
    "Nordic": {":": "Ø", "/": "-", "-": "+", "_": "?"},
    "Italian": {":": "ç", "/": "-", "-": "'", "_": "?"},
    "colon and slash lost": {":": "", "/": ""},
}


@pytest.mark.parametrize("layout", LAYOUTS)
@given(PACKS)
def test_a_pack_address_survives_a_foreign_layout(layout: str, code: str) -> None:
    typed = pack_address("https://trace.example", code).translate(str.maketrans(LAYOUTS[layout]))
    assert code_from_scan(typed) == code
    assert code_from_scan(typed.upper()) == code_from_scan(typed.lower()) == code


@pytest.mark.parametrize("layout", ["same", "German", "Japanese", "Nordic", "Italian"])
@given(LOTS)
def test_a_lot_address_survives_a_foreign_layout(layout: str, code: str) -> None:
    for shown in (code, print_lot(code)):
        assert code_from_scan(f"https://trace.example/class/{shown}".translate(str.maketrans(LAYOUTS[layout]))) == code


@pytest.mark.parametrize("code", [PACK, LOT])
@pytest.mark.parametrize(
    "around",
    ["{}", " {} ", "{}\r\n", "]Q1{}", "]d1{}\n", "/p/{}", "https://trace.example/p/{}/", "HTTPS://TRACE.EXAMPLE/P/{}",
     "https://trace.example/x/y/{}?lang=ja#top", "https://trace.example:8443/p/{}", "(01)09521234000013(21){}", "lot: {}."],
)  # fmt: skip
def test_the_code_is_found_in_what_stands_around_it(around: str, code: str) -> None:
    assert code_from_scan(around.format(code)) == code
    assert code_from_scan(around.format(code.lower())) == code


@given(PACKS, LOTS)
def test_printed_forms_and_full_width_are_taken(pack: str, lot: str) -> None:
    for code, printed in ((pack, print_pack(pack)), (lot, print_lot(lot))):
        wide = "".join(chr(ord(sign) + 0xFEE0) for sign in printed)
        assert code_from_scan(printed) == code_from_scan(wide) == code_from_scan(printed.replace("-", "½")) == code


def test_kinds() -> None:
    assert [kind_of(text) for text in (PACK, ADDRESS, LOT, print_lot(LOT), "", "41.83", "R26")] == [
        "pack", "pack", "lot", "lot", None, None, None,
    ]  # fmt: skip


@given(PACKS, st.integers(0, 19), st.sampled_from(SIGNS))
def test_a_misread_pack_code_is_never_taken_for_another_code(code: str, at: int, sign: str) -> None:
    wrong = code[:at] + sign + code[at + 1 :]
    for text in (wrong, print_pack(code)[:-1] + "U", f"https://trace.example/p/{wrong}"):
        assert code_from_scan(text) in {None, code}


@given(LOTS, st.sampled_from(SIGNS))
def test_a_lot_code_with_a_sign_too_many_is_refused(code: str, sign: str) -> None:
    assert code_from_scan(sign + code) is None
    assert code_from_scan(code + sign) is None


@pytest.mark.parametrize("text", ["41.83", "4512345678906", "", " ", "https://trace.example/", "]", "]Q1", "?", "///", "荒茶 12 kg"])
def test_weights_numbers_and_other_text_hold_no_code(text: str) -> None:
    assert code_from_scan(text) is None


def test_very_long_text_is_not_searched() -> None:
    assert code_from_scan(ADDRESS.rjust(SCAN_MAX)) == PACK
    assert code_from_scan(ADDRESS.rjust(SCAN_MAX + 1)) is None


@given(st.text(max_size=60))
def test_any_text_gives_a_code_or_nothing(text: str) -> None:
    found = code_from_scan(text)
    assert found is None or code_from_scan(found) == found


def test_the_address_of_a_pack() -> None:
    assert pack_address("https://trace.example", print_pack(PACK)) == ADDRESS
    assert pack_address("https://trace.example/", PACK) == ADDRESS
    assert pack_address("https://example.org/tea/", PACK) == f"https://example.org/tea/p/{PACK}"


@pytest.mark.parametrize("base", ["", "trace.example", "ftp://trace.example", "https://", "https://trace.example?x=1", "https://trace.example#x"])
def test_bases_that_carry_no_address(base: str) -> None:
    with pytest.raises(CodeError, match="cannot carry pack addresses"):
        pack_address(base, PACK)


def test_an_address_takes_pack_codes_only() -> None:
    with pytest.raises(CodeError, match="no pack code"):
        pack_address("https://trace.example", LOT)
