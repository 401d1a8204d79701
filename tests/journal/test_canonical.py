"""Canonical bytes: one form for one value, and nothing that another machine could read otherwise."""

from __future__ import annotations

import json
import unicodedata
from contextlib import suppress
from decimal import Decimal
from enum import IntEnum, StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.journal.canonical import DEPTH_MAX, INTEGER_MAX, canonical_bytes, parse
from lots.journal.errors import JournalError

TEXT = st.text(st.characters(exclude_categories=["Cs"])).map(lambda text: unicodedata.normalize("NFC", text))
KEYS = st.text(st.characters(max_codepoint=127), max_size=8)
INTEGERS = st.integers(-INTEGER_MAX, INTEGER_MAX)
VALUES = st.recursive(
    st.none() | st.booleans() | INTEGERS | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_what_was_written_is_read_back(value: dict[str, object]) -> None:
    assert parse(canonical_bytes(value)) == value


@given(VALUES)
def test_the_standard_library_gives_the_same_bytes_within_the_profile(value: object) -> None:
    # A checker that stands alone may so use the standard library only.
    plain = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    assert canonical_bytes(value) == plain.encode()


@given(st.dictionaries(KEYS, VALUES, min_size=2, max_size=5))
def test_order_of_keys_as_given_makes_no_difference(value: dict[str, object]) -> None:
    assert canonical_bytes(dict(reversed(value.items()))) == canonical_bytes(value)


@pytest.mark.parametrize("value", [1.0, float("nan"), Decimal("1.5"), (1, 2), {1}, b"x", object()])
def test_anything_outside_the_profile_is_refused(value: object) -> None:
    with pytest.raises(JournalError, match="whole number of its small unit"):
        canonical_bytes({"act": {"mass": value}})


def test_the_refusal_names_the_place() -> None:
    with pytest.raises(JournalError, match=r"The value at act\.flows\[1\]\.mass is of kind float"):
        canonical_bytes({"act": {"flows": [{"mass": 1}, {"mass": 1.5}]}})


@pytest.mark.parametrize("number", [INTEGER_MAX, -INTEGER_MAX, 0])
def test_integers_that_a_double_holds_are_taken(number: int) -> None:
    assert canonical_bytes(number) == str(number).encode()


@pytest.mark.parametrize("number", [INTEGER_MAX + 1, -INTEGER_MAX - 1, 10**400])
def test_integers_beyond_are_refused(number: int) -> None:
    with pytest.raises(JournalError, match="beyond"):
        canonical_bytes([number])


@pytest.mark.parametrize("key", ["名", "é", 1, None])
def test_keys_are_ascii(key: object) -> None:
    with pytest.raises(JournalError, match="plain ASCII"):
        canonical_bytes({key: 1})


def test_text_in_another_normal_form_is_refused() -> None:
    assert canonical_bytes("é") == b'"\xc3\xa9"'
    with pytest.raises(JournalError, match="normal form C"):
        canonical_bytes("e\u0301")


@pytest.mark.parametrize("half", [0xD83C, 0xD800, 0xDFFF])
def test_half_a_character_is_refused(half: int) -> None:
    with pytest.raises(JournalError, match="lone surrogate"):
        canonical_bytes([chr(half)])


def test_words_and_numbers_of_an_enumeration_stand_as_their_values() -> None:
    class Way(StrEnum):
        IN = "in"

    class Count(IntEnum):
        TWO = 2

    assert canonical_bytes([Way.IN, Count.TWO]) == b'["in",2]'


def test_depth_is_bounded() -> None:
    deep: object = 0
    for _ in range(DEPTH_MAX):
        deep = [deep]
    assert canonical_bytes(deep) == b"[" * DEPTH_MAX + b"0" + b"]" * DEPTH_MAX
    with pytest.raises(JournalError, match="nested"):
        canonical_bytes([deep])
    named: object = 0
    for _ in range(DEPTH_MAX):
        named = {"a": named}
    assert len(canonical_bytes(named)) == 6 * DEPTH_MAX + 1
    with pytest.raises(JournalError, match="nested more than 32 levels"):
        canonical_bytes({"a": named})


@pytest.mark.parametrize(
    "body",
    [
        b'{"b":1,"a":2}',
        b'{"a": 1}',
        b'{"a":1}\n',
        b'{"a":1,"a":1}',
        b'{"a":-0}',
        b'{"a":01}',
        b'{"a":"\\u0041"}',
        b'{"a":"\\/"}',
        b'\xef\xbb\xbf{"a":1}',
    ],
)
def test_bytes_in_another_spelling_are_refused(body: bytes) -> None:
    with pytest.raises(JournalError):
        parse(body)


@pytest.mark.parametrize("number", [b"1.0", b"1e2", b"NaN", b"-Infinity"])
def test_fractions_are_refused_when_read(number: bytes) -> None:
    with pytest.raises(JournalError, match="not a whole number"):
        parse(b'{"a":' + number + b"}")


@pytest.mark.parametrize("body", [b"", b"{", b"[1]", b"1", b"null", b'"a"', b"\xff", b"[" * 200_000, b'{"a":' + b"9" * 5000 + b"}"])
def test_bytes_that_are_no_object_are_refused(body: bytes) -> None:
    with pytest.raises(JournalError):
        parse(body)


@given(st.binary(max_size=40))
def test_any_bytes_are_either_canonical_or_refused(body: bytes) -> None:
    with suppress(JournalError):
        assert canonical_bytes(parse(body)) == body
