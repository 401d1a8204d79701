"""Codes of lots: a letter for the material or stage, the year, a serial in our 32 signs, a check character.

Nine signs, compared and stored folded: ``R260001A8``. In print a hyphen stands after the year: ``R26-0001A8``.
A code begins with a letter and a weight with a digit, so a scan in the wrong field is noticed.
"""

from __future__ import annotations

from dataclasses import dataclass

from lots.codes.check import append_check, has_good_check
from lots.codes.errors import CodeError
from lots.codes.signs import SIGNS, are_signs, decode, encode, fold

LOT_CODE_LENGTH = 9
SERIAL_LENGTH = 5
SERIAL_MAX = 32**SERIAL_LENGTH - 1
LETTERS = SIGNS[10:]
_CENTURY = 2000
_HEAD = 3


@dataclass(frozen=True, slots=True)
class LotCodeParts:
    """What a lot code says: letter, full year, serial within letter and year."""

    letter: str
    year: int
    serial: int


def new_lot_code(letter: str, year: int, serial: int) -> str:
    """Return the folded code of a lot.

    ``letter`` is a capital of our signs, ``year`` from 2000 to 2099, ``serial`` from 0 to 33,554,431. Raises
    ``CodeError`` for anything else. That a serial is given only once for a letter and year is the caller's promise.
    """
    if len(letter) != 1 or letter not in LETTERS:
        raise CodeError(f"A lot code cannot begin with “{letter[:10]}”: it takes one capital other than I, L, O and U.")
    if not _CENTURY <= year < _CENTURY + 100:
        raise CodeError(f"A lot code has two digits for the year, so {year} cannot be told apart from another century.")
    if not 0 <= serial <= SERIAL_MAX:
        raise CodeError(f"Serial {serial} does not fit into a lot code; the letter {letter} is used up for {year}.")
    return append_check(f"{letter}{year - _CENTURY:02d}{encode(serial, SERIAL_LENGTH)}")


def parse_lot_code(text: str) -> str | None:
    """Return the folded lot code that text in any spelling is, or None when it is none; the check character counts."""
    code = fold(text)
    return code if _is_lot_code(code) else None


def lot_code_parts(text: str) -> LotCodeParts | None:
    """Return letter, year and serial of a lot code in any spelling, or None when it is none."""
    code = parse_lot_code(text)
    if code is None:
        return None
    return LotCodeParts(code[0], _CENTURY + int(code[1:_HEAD]), decode(code[_HEAD:-1]))


def print_form(code: str) -> str:
    """Return the code as people read it, with a hyphen after the year; raises ``CodeError`` when it is no lot code."""
    folded = parse_lot_code(code)
    if folded is None:
        raise CodeError(f"“{code[:40]}” is no lot code.")
    return f"{folded[:_HEAD]}-{folded[_HEAD:]}"


def _is_lot_code(code: str) -> bool:
    if len(code) != LOT_CODE_LENGTH or not are_signs(code):
        return False
    return code[0] in LETTERS and code[1:_HEAD].isdigit() and has_good_check(code)
