"""The check character: which slips it finds, shown for every state that it can be in."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.codes.check import append_check, check_character, has_good_check
from lots.codes.errors import CodeError
from lots.codes.signs import SIGNS

BODIES = st.text(st.sampled_from(SIGNS), min_size=1, max_size=24)
M = len(SIGNS)
STATES = range(1, M + 1)


def step(state: int, value: int) -> int:
    """One sign of the hybrid system, written from the standard's description and not taken from the room."""
    return ((state + value - 1) % M + 1) * 2 % (M + 1)


@given(BODIES)
def test_the_appended_character_is_good_and_no_other_is(body: str) -> None:
    assert [sign for sign in SIGNS if has_good_check(body + sign)] == [check_character(body)]
    assert append_check(body) == body + check_character(body)


@given(BODIES)
def test_it_is_the_one_that_the_description_gives(body: str) -> None:
    state = M
    for sign in body:
        state = step(state, SIGNS.index(sign))
    assert (state + SIGNS.index(check_character(body))) % M == 1


@given(BODIES, st.data())
def test_every_single_wrong_sign_is_found(body: str, data: st.DataObject) -> None:
    code = append_check(body)
    at = data.draw(st.integers(0, len(code) - 1))
    wrong = data.draw(st.sampled_from([sign for sign in SIGNS if sign != code[at]]))
    assert not has_good_check(code[:at] + wrong + code[at + 1 :])


def test_no_state_forgets_a_wrong_sign() -> None:
    # Two different signs lead to two states, and two states never meet again: so the one before holds at any length.
    assert all(len({step(state, value) for value in range(M)}) == M for state in STATES)
    assert all({step(state, value) for state in STATES} == set(STATES) for value in range(M))


def test_of_swapped_neighbours_one_in_496_passes() -> None:
    pairs = [(state, one, other) for state, one, other in product(STATES, range(M), range(M)) if one != other]
    missed = [(p, a, b) for p, a, b in pairs if step(step(p, a), b) == step(step(p, b), a)]
    assert (len(missed), len(pairs)) == (64, 31_744)
    assert len(pairs) // len(missed) == 496
    last = [(p, a, c) for p, a, c in pairs if (step(p, a) + c) % M == 1]
    assert len([1 for p, a, c in last if (step(p, c) + a) % M == 1]) == 2


def test_all_codes_of_two_signs_hold_32_good_ones() -> None:
    assert sum(has_good_check(one + other) for one, other in product(SIGNS, SIGNS)) == 32


@pytest.mark.parametrize("text", ["", "0", "R2U", "r26", "R-2"])
def test_text_outside_the_alphabet_has_no_good_check(text: str) -> None:
    assert not has_good_check(text)


def test_a_sign_outside_the_alphabet_is_named() -> None:
    with pytest.raises(CodeError, match="“U” is not one of the 32 signs"):
        append_check("RU")
