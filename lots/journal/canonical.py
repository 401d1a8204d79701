"""One byte form for one value: RFC 8785 canonical JSON, in a profile narrow enough to leave no choice.

Only objects with ASCII keys, lists, text in Unicode normal form C, integers that a double holds exactly, true, false
and null. Fractions are text with fixed decimals or integers of a smaller unit; a float has no place in a record that
must read the same on every machine and in every year.
"""

from __future__ import annotations

import json
import unicodedata
from typing import Any, NoReturn

import rfc8785

from lots.journal.errors import JournalError

INTEGER_MAX = 2**53 - 1
DEPTH_MAX = 32


def canonical_bytes(value: object) -> bytes:
    """Return the RFC 8785 bytes of a value of the journal's narrow profile.

    Raises ``JournalError`` for anything outside the profile, naming the place where it stands.
    """
    _check(value, "", 0)
    # The profile was checked above; the package's own type does not name ``dict[str, object]``.
    return rfc8785.dumps(value)  # type: ignore[arg-type]


def parse(body: bytes) -> dict[str, Any]:
    """Read an object back from its canonical bytes.

    Raises ``JournalError`` when the bytes are no JSON object, leave the profile, or differ from the canonical form of
    what they say: blanks, other key order, a doubled key, ``1.0`` or ``-0``, text that is not in normal form C.
    """
    value = _decode(body)
    if not isinstance(value, dict):
        raise JournalError("These bytes are not a journal object: they hold a single value or a list.")
    if canonical_bytes(value) != body:
        raise JournalError("These bytes are not in canonical form: the journal spells the same content in another way.")
    return value


def _decode(body: bytes) -> object:
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as fault:
        raise JournalError(f"These bytes are not UTF-8 text: byte {fault.start} does not belong there.") from fault
    try:
        value: object = json.loads(text, parse_float=_no_fraction, parse_constant=_no_fraction)
    except JournalError:
        raise
    except (ValueError, RecursionError) as fault:
        raise JournalError("These bytes are not JSON text that the journal could have written.") from fault
    return value


def _no_fraction(text: str) -> NoReturn:
    raise JournalError(f"The number {text[:40]} is not a whole number; the journal holds whole numbers and text only.")


def _check(value: object, where: str, depth: int) -> None:
    if depth > DEPTH_MAX:
        raise JournalError(f"{_place(where)} is nested more than {DEPTH_MAX} levels deep.")
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, str):
        _check_text(value, where)
    elif isinstance(value, int):
        _check_integer(value, where)
    elif isinstance(value, dict):
        _check_object(value, where, depth)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            _check(item, f"{where}[{index}]", depth + 1)
    else:
        _refuse_kind(value, where)


def _refuse_kind(value: object, where: str) -> NoReturn:
    kind = type(value).__name__
    raise JournalError(
        f"{_place(where)} is of kind {kind}; the journal takes objects, lists, text, whole numbers, true, false, null. "
        "Give a measured quantity as a whole number of its small unit or as text with fixed decimals."
    )


def _check_integer(value: int, where: str) -> None:
    if abs(value) > INTEGER_MAX:
        raise JournalError(f"{_place(where)} is a whole number beyond 2^53 - 1, which not every reader keeps exactly.")


def _check_object(value: dict[object, object], where: str, depth: int) -> None:
    for key, item in value.items():
        if not isinstance(key, str) or not key.isascii():
            raise JournalError(f"{_place(where)} has the key {key!r}; keys are plain ASCII text.")
        _check(item, f"{where}.{key}" if where else key, depth + 1)


def _check_text(value: str, where: str) -> None:
    if any("\ud800" <= sign <= "\udfff" for sign in value):
        raise JournalError(f"{_place(where)} holds half a character (a lone surrogate).")
    if not unicodedata.is_normalized("NFC", value):
        raise JournalError(f"{_place(where)} is not in Unicode normal form C, so the same text has other bytes too.")


def _place(where: str) -> str:
    return f"The value at {where}" if where else "The value"
