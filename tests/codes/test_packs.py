"""Pack codes: proved by the run's secret, neither guessed nor counted through."""

from __future__ import annotations

import hashlib
import hmac
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lots.codes import packs
from lots.codes.check import append_check
from lots.codes.errors import CodeError
from lots.codes.packs import (
    PACK_CODE_LENGTH,
    PACK_NO_MAX,
    RUN_NO_MAX,
    PackParts,
    belongs,
    is_well_formed,
    new_secret,
    pack_code,
    parse_pack_code,
    print_form,
    split,
)
from lots.codes.signs import SIGNS, decode, encode

SECRET, OTHER_SECRET = bytes(range(32)), bytes(range(1, 33))
RUNS, NUMBERS = st.integers(0, RUN_NO_MAX), st.integers(0, PACK_NO_MAX)
TAG_START = 1 + 9  # the letter, then the 8 signs and 4 bits of the two numbers


@given(RUNS, NUMBERS)
def test_a_code_says_its_numbers_and_proves_them(run_no: int, pack_no: int) -> None:
    code = pack_code(run_no, pack_no, SECRET)
    parts = split(code)
    assert len(code) == PACK_CODE_LENGTH == 20
    assert code[0] == "T"
    assert parts is not None
    assert (parts.run_no, parts.pack_no) == (run_no, pack_no)
    assert belongs(parts, SECRET)
    assert not belongs(parts, OTHER_SECRET)


def test_the_bits_are_run_pack_and_head_of_the_keyed_hash() -> None:
    message = b"tea-lot-ledger pack code v1\x00" + bytes([0, 1, 2]) + bytes([0, 0, 7])
    head = int.from_bytes(hmac.new(SECRET, message, hashlib.sha256).digest()[:6], "big") >> 2
    bits = decode(pack_code(0x000102, 7, SECRET)[1:-1])
    assert (bits >> 66, bits >> 46 & PACK_NO_MAX, bits & 2**46 - 1) == (0x000102, 7, head)


@given(RUNS, NUMBERS, st.integers(TAG_START, 18), st.sampled_from(SIGNS))
def test_a_changed_tag_is_refused_even_with_a_fresh_check_character(run: int, pack: int, at: int, sign: str) -> None:
    code = pack_code(run, pack, SECRET)
    assume(code[at] != sign)
    forged = append_check(code[:at] + sign + code[at + 1 : -1])
    parts = split(forged)
    assert parts is not None
    assert not belongs(parts, SECRET)


@given(RUNS, NUMBERS, RUNS, NUMBERS)
def test_a_tag_does_not_carry_over_to_another_pack(run: int, pack: int, other_run: int, other_pack: int) -> None:
    assume((run, pack) != (other_run, other_pack))
    parts = split(pack_code(run, pack, SECRET))
    assert parts is not None
    assert not belongs(PackParts(other_run, other_pack, parts.tag), SECRET)


def test_the_next_pack_cannot_be_worked_out_from_its_neighbours() -> None:
    tags = [parts.tag for number in range(2000) if (parts := split(pack_code(5, number, SECRET)))]
    assert len(set(tags)) == 2000
    # 46 fair bits each: the mean number of ones over 2,000 tags lies within 5 standard deviations of 23.
    mean = sum(tag.bit_count() for tag in tags) / len(tags)
    assert abs(mean - 23) < 5 * (46 / 4 / 2000) ** 0.5
    steps = {later - earlier for earlier, later in pairwise(tags)}
    assert len(steps) == 1999


def test_folded_codes_of_a_whole_run_are_unique() -> None:
    codes = {pack_code(9, number, SECRET) for number in range(3000)} | {pack_code(10, number, SECRET) for number in range(3000)}
    assert len({parse_pack_code(code.lower()) for code in codes}) == 6000


@given(RUNS, NUMBERS)
def test_every_spelling_gives_the_folded_code(run_no: int, pack_no: int) -> None:
    code = pack_code(run_no, pack_no, SECRET)
    printed = print_form(code)
    assert [len(group) for group in printed.split("-")] == [5, 5, 5, 5]
    assert parse_pack_code(printed) == parse_pack_code(code.lower()) == parse_pack_code(printed.replace("-", " ")) == code
    assert parse_pack_code(printed.replace("0", "o").replace("1", "l")) == code


@given(RUNS, NUMBERS, st.integers(0, 19), st.sampled_from(SIGNS))
def test_one_wrong_sign_is_malformed(run_no: int, pack_no: int, at: int, sign: str) -> None:
    code = pack_code(run_no, pack_no, SECRET)
    assume(code[at] != sign)
    wrong = code[:at] + sign + code[at + 1 :]
    assert not is_well_formed(wrong)
    assert split(wrong) is None


@pytest.mark.parametrize("text", ["", "T", "T" * 20, "R260001AN", "U" * 20, "T" + "0" * 30, "T" * 100_000, "https://trace.example/"])
def test_malformed_text_has_no_parts(text: str) -> None:
    assert split(text) is None
    assert not is_well_formed(text)
    with pytest.raises(CodeError, match="no pack code"):
        print_form(text)


def test_a_code_of_another_letter_is_no_pack_code() -> None:
    assert split(append_check("S" + encode(123, 18))) is None


@pytest.mark.parametrize("text", ["", "T", "x" * 300, "T0000A000E16E89QM0CC", "S0000A000E16E89QM0CB", "U" * 20])
def test_malformed_codes_go_through_the_same_steps(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def steps_of(asked: str) -> list[str]:
        seen: list[str] = []
        for name in ("fold", "are_signs", "has_good_check", "decode"):
            real = getattr(packs, name)
            monkeypatch.setattr(packs, name, lambda *args, real=real, name=name: (seen.append(name), real(*args))[1])
        split(asked)
        monkeypatch.undo()
        return seen

    assert steps_of(text) == steps_of(pack_code(5, 7, SECRET)) == ["fold", "are_signs", "has_good_check", "decode"]


def test_an_unknown_run_costs_the_same_keyed_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    counted: list[int] = []
    real = packs._tag
    monkeypatch.setattr(packs, "_tag", lambda *args: (counted.append(1), real(*args))[1])
    parts = split(pack_code(5, 7, SECRET))
    counted.clear()
    asked = [(parts, SECRET), (parts, OTHER_SECRET), (parts, None), (None, SECRET), (None, None), (parts, b"short")]
    assert [belongs(*case) for case in asked] == [True, False, False, False, False, False]
    assert len(counted) == len(asked)


def test_the_stand_in_secret_proves_nothing() -> None:
    forged = split(pack_code(0, 0, bytes(32)))
    assert not belongs(forged, None)
    assert not belongs(None, bytes(32))


def test_secrets_are_fresh() -> None:
    made = {new_secret() for _ in range(100)}
    assert len(made) == 100
    assert {len(secret) for secret in made} == {32}


@pytest.mark.parametrize(
    ("run_no", "pack_no", "secret", "said"),
    [
        (-1, 1, SECRET, "Run number -1"),
        (RUN_NO_MAX + 1, 1, SECRET, "Run number 16777216"),
        (1, -1, SECRET, "Pack number -1"),
        (1, PACK_NO_MAX + 1, SECRET, "open a new run after 1048575"),
        (1, 1, b"", "32 bytes"),
        (1, 1, bytes(31), "32 bytes"),
    ],
)
def test_what_does_not_fit_is_refused(run_no: int, pack_no: int, secret: bytes, said: str) -> None:
    with pytest.raises(CodeError, match=said):
        pack_code(run_no, pack_no, secret)
