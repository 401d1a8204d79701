"""Commitments: they open to their value only, and say nothing once the salt is gone."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.journal.commitments import as_reference, commit, is_reference, new_salt, opens
from lots.journal.errors import JournalError

SALTS = st.binary(min_size=16, max_size=16)
NAMES = st.text(st.characters(codec="ascii"))


def test_the_preimage_is_prefix_salt_and_canonical_bytes() -> None:
    salt = bytes(range(16))
    made = commit({"name": "Ōta", "a": 1}, salt)
    assert made == hashlib.sha256(b"\x02" + salt + '{"a":1,"name":"Ōta"}'.encode()).hexdigest()


@given(NAMES, NAMES, SALTS)
def test_it_opens_to_its_value_only(value: str, other: str, salt: bytes) -> None:
    assert opens(commit(value, salt), value, salt)
    assert other == value or not opens(commit(value, salt), other, salt)


@given(SALTS, SALTS)
def test_another_salt_gives_another_commitment(one: bytes, other: bytes) -> None:
    assert (commit("plot 7", one) == commit("plot 7", other)) == (one == other)


def test_salts_are_fresh() -> None:
    salts = {new_salt() for _ in range(200)}
    assert len(salts) == 200
    assert {len(salt) for salt in salts} == {16}


@pytest.mark.parametrize("size", [0, 15, 17, 32])
def test_a_salt_of_another_length_is_refused(size: int) -> None:
    with pytest.raises(JournalError, match="16 bytes"):
        commit("plot 7", bytes(size))


def test_malformed_arguments_open_nothing() -> None:
    good = commit("plot 7", bytes(16))
    assert not opens(good, "plot 7", b"")
    assert not opens(good, 1.5, bytes(16))
    assert not opens(good.upper(), "plot 7", bytes(16))
    assert not opens("é" * 64, "plot 7", bytes(16))


def test_the_form_in_an_entry() -> None:
    good = commit("plot 7", bytes(16))
    assert as_reference(good) == {"$h": good}
    assert is_reference(as_reference(good))
    with pytest.raises(JournalError, match="64 lower-case"):
        as_reference(good.upper())


@pytest.mark.parametrize("value", [None, "x", {}, {"$h": "x"}, {"$h": 1}, {"$h": "0" * 64, "name": "x"}])
def test_other_values_are_no_commitment(value: object) -> None:
    assert not is_reference(value)
