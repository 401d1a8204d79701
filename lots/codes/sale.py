"""Codes of cases and of orders: the form of a lot code, under letters that no material has."""

from __future__ import annotations

from lots.codes.lots import lot_code_parts, parse_lot_code

CASE_LETTER = "N"
ORDER_LETTER = "Z"


def parse_case_code(text: str) -> str | None:
    """Return the folded code of a case that text in any spelling is, or None when it is none; the check character counts."""
    return _with_letter(text, CASE_LETTER)


def parse_order_code(text: str) -> str | None:
    """Return the folded code of an order that text in any spelling is, or None when it is none; the check character counts."""
    return _with_letter(text, ORDER_LETTER)


def _with_letter(text: str, letter: str) -> str | None:
    parts = lot_code_parts(text)
    return parse_lot_code(text) if parts is not None and parts.letter == letter else None
