"""Lot codes: one folded form, found in any spelling, refused when a sign is wrong."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lots.codes.errors import CodeError
from lots.codes.lots import (
    LETTERS,
    LOT_CODE_LENGTH,
    SERIAL_MAX,
    LotCodeParts,
    lot_code_parts,
    new_lot_code,
    parse_lot_code,
    print_form,
)
from lots.codes.signs import SIGNS

PARTS = st.builds(LotCodeParts, st.sampled_from(LETTERS), st.integers(2000, 2099), st.integers(0, SERIAL_MAX))


def code_of(parts: LotCodeParts) -> str:
    return new_lot_code(parts.letter, parts.year, parts.serial)


@given(PARTS)
def test_a_code_says_what_it_was_made_of(parts: LotCodeParts) -> None:
    code = code_of(parts)
    assert len(code) == LOT_CODE_LENGTH == 9
    assert lot_code_parts(code) == parts
    assert parse_lot_code(print_form(code)) == parse_lot_code(code.lower()) == code


@given(PARTS, PARTS)
def test_different_lots_have_different_folded_codes(one: LotCodeParts, other: LotCodeParts) -> None:
    assert (code_of(one) == code_of(other)) == (one == other)


@given(PARTS, st.data())
def test_one_wrong_sign_is_refused(parts: LotCodeParts, data: st.DataObject) -> None:
    code = code_of(parts)
    at = data.draw(st.integers(0, len(code) - 1))
    wrong = code[:at] + data.draw(st.sampled_from(SIGNS)) + code[at + 1 :]
    assume(wrong != code)
    assert parse_lot_code(wrong) is None


@given(PARTS, st.integers(0, 8), st.sampled_from(SIGNS))
def test_a_lost_or_doubled_sign_is_refused(parts: LotCodeParts, at: int, sign: str) -> None:
    code = code_of(parts)
    assert parse_lot_code(code[:at] + code[at + 1 :]) is None
    assert parse_lot_code(code[:at] + sign + code[at:]) is None


def test_the_printed_form_has_one_hyphen() -> None:
    assert print_form("r26 ooo1an") == "R26-0001AN"
    assert new_lot_code("R", 2026, 42) == "R260001AN"


@given(PARTS)
def test_no_code_reads_as_a_number_and_none_is_longer_than_a_gs1_lot(parts: LotCodeParts) -> None:
    code = code_of(parts)
    assert code[0].isalpha()
    assert len(code) <= 20
    with pytest.raises(ValueError, match="could not convert"):
        float(code)


@pytest.mark.parametrize("letter", ["", "I", "L", "O", "U", "r", "7", "RR", "Ｒ", "é"])
def test_letters_that_no_code_begins_with(letter: str) -> None:
    with pytest.raises(CodeError, match="cannot begin with"):
        new_lot_code(letter, 2026, 1)


@pytest.mark.parametrize("year", [1999, 2100, 26])
def test_years_of_another_century_are_refused(year: int) -> None:
    with pytest.raises(CodeError, match="two digits for the year"):
        new_lot_code("R", year, 1)


@pytest.mark.parametrize("serial", [-1, SERIAL_MAX + 1])
def test_serials_that_do_not_fit_are_refused(serial: int) -> None:
    with pytest.raises(CodeError, match="does not fit into a lot code"):
        new_lot_code("R", 2026, serial)


@pytest.mark.parametrize("text", ["", "R26", "R26-0001AM", "726-0001AN", "RA6-0001AN", "R26-0001AU", "R26-0001AN-X", "荒茶"])
def test_other_text_is_no_lot_code(text: str) -> None:
    assert parse_lot_code(text) is None
    assert lot_code_parts(text) is None
    with pytest.raises(CodeError, match="no lot code"):
        print_form(text)
