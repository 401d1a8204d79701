"""The 32 signs, and folding what hands and scanners do to them."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.codes.errors import CodeError
from lots.codes.signs import SIGNS, are_signs, decode, encode, fold, is_separator

FULL_WIDTH = str.maketrans({chr(sign): chr(sign + 0xFEE0) for sign in range(0x21, 0x7F)})
CODES = st.text(st.sampled_from(SIGNS), min_size=1, max_size=25)
#: Characters in which a hyphen or a space of a printed code was seen to arrive, or would.
SEPARATORS = [
    " ", "\t", "\u3000", "\u00a0", "\u2009", "\u200b", "\ufeff", "\u00ad", "\r\n", "-", "‐", "‑", "‒", "–", "—", "―", "−", "－", "﹣", "﹘",
    "⁻", "ー", "ｰ", "〜", "゠", "_", "＿", "‿", "½", "¼", "⅓", "⁄", "∕", "ß", "ẞ", "'", "’", "´", "+", "＋", "─",
]


def test_the_signs_are_digits_and_capitals_without_look_alikes() -> None:
    assert len(SIGNS) == len(set(SIGNS)) == 32
    assert set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") - set(SIGNS) == set("ILOU")
    assert sorted(SIGNS) == list(SIGNS)


@given(CODES)
def test_folded_text_folds_to_itself(code: str) -> None:
    assert fold(code) == code


@given(st.lists(st.sampled_from([*SIGNS, *SIGNS.lower(), *SIGNS.translate(FULL_WIDTH), *SEPARATORS, "o", "I", "l"]), max_size=30))
def test_any_mixture_of_spellings_folds_to_signs_and_stays(typed: list[str]) -> None:
    folded = fold("".join(typed))
    assert are_signs(folded) or not folded
    assert fold(folded) == folded


@given(st.text(max_size=30))
def test_any_text_can_be_folded(text: str) -> None:
    assert not any(is_separator(sign) for sign in fold(text))


@given(CODES)
def test_small_and_full_width_letters_fold_to_the_code(code: str) -> None:
    assert fold(code.lower()) == code
    assert fold(code.translate(FULL_WIDTH)) == code
    assert fold(code.lower().translate(FULL_WIDTH)) == code


@pytest.mark.parametrize("separator", SEPARATORS, ids=ascii)
def test_whatever_stands_for_a_hyphen_is_dropped(separator: str) -> None:
    assert fold(f"R26{separator}0001AN{separator}") == "R260001AN"
    assert all(is_separator(sign) for sign in separator)
    assert fold(separator) == ""


@pytest.mark.parametrize(("typed", "read"), [("O", "0"), ("o", "0"), ("I", "1"), ("i", "1"), ("l", "1"), ("L", "1"), ("ｌ", "1"), ("Ｏ", "0")])
def test_look_alikes_are_read_as_the_digit(typed: str, read: str) -> None:
    assert fold(typed) == read


@pytest.mark.parametrize("sign", ["U", "u", "Ｕ", "А", "Ö", "/", ":", ".", "*", "荒", "ж"])
def test_other_signs_stay_so_that_they_are_refused(sign: str) -> None:
    assert not are_signs(fold("R26" + sign))
    assert not is_separator(sign)


def test_a_half_is_no_one_and_two() -> None:
    assert unicodedata.normalize("NFKC", "½") == "1⁄2"
    assert fold("R26½0001AN") == "R260001AN"


@given(st.integers(0, 2**90 - 1))
def test_numbers_are_read_back(number: int) -> None:
    text = encode(number, 18)
    assert len(text) == 18
    assert decode(text) == number


@given(st.integers(0, 2**25 - 1), st.integers(0, 2**25 - 1))
def test_signs_sort_like_their_numbers(one: int, other: int) -> None:
    assert (encode(one, 5) < encode(other, 5)) == (one < other)


@pytest.mark.parametrize(("number", "length"), [(-1, 3), (32**3, 3), (1, 0)])
def test_numbers_that_do_not_fit_are_refused(number: int, length: int) -> None:
    with pytest.raises(CodeError, match="does not fit"):
        encode(number, length)


@pytest.mark.parametrize("text", ["", "U", "r26", "R-2", "é"])
def test_other_text_is_no_number(text: str) -> None:
    assert not are_signs(text)
    with pytest.raises(CodeError, match="a sign that our codes do not have"):
        decode(text)
