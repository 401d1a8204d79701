"""Reading the marks of one figure: which numbers "1.234,5" or "1,234" can stand for. Knows nothing of fields."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

_MARKS = str.maketrans({
    "。": ".", "、": ",", "’": "'", "‘": "'", "`": "'", "´": "'",
    **dict.fromkeys("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "^"),  # folding would make 412 of 41²
    "\u2212": "-", "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": "-",
})
_THREES = {sep: re.compile(rf"[0-9]{{1,3}}(?:{re.escape(sep)}[0-9]{{3}})+") for sep in " ',."}
_CODE = re.compile(r"(?=.*[0-9])[A-Z][A-Z0-9-]{3,}|\]?[A-Z][0-9]?\(?[0-9]{8,}.*|\([0-9]{2,4}\).*|[A-Z]+://.*",
                   re.DOTALL)


def folded(text: str) -> str:
    """``text`` with full-width signs folded (NFKC), spaces single, and the many points, commas, minuses made one."""
    return " ".join(unicodedata.normalize("NFKC", text.translate(_MARKS)).translate(_MARKS).split())


def looks_like_code(text: str, digits: int = 6) -> bool:
    """Whether ``text`` is a scan: a lot or pack code, an address, or ``digits`` to 14 digits without any mark."""
    plain = folded(text).upper()
    return bool(_CODE.fullmatch(plain)) or (plain.isascii() and plain.isdigit() and digits <= len(plain) <= 14)


def _grouped(text: str) -> str | None:
    """The digits of a whole number, ungrouped; None if its groups are not threes."""
    if text.isdigit():
        return text
    return next((text.replace(sep, "") for sep, threes in _THREES.items() if threes.fullmatch(text)), None)


def _with_decimals(whole: str, decimals: str) -> Decimal | None:
    digits = _grouped(whole) if whole else "0"
    return Decimal(f"{digits}.{decimals}") if digits is not None and decimals.isdigit() else None


def _one_mark(text: str, mark: str) -> tuple[Decimal, ...]:
    whole, decimals = text.split(mark)
    first = _with_decimals(whole, decimals)
    grouping = _THREES[mark].fullmatch(text) and not whole.startswith("0")
    return () if first is None else (first, Decimal(whole + decimals)) if grouping else (first,)


def readings(figure: str) -> tuple[Decimal, ...]:
    """Every number that ``figure`` (digits, points, commas, spaces, apostrophes) can stand for.

    One mark: a decimal mark, and also a group mark where three digits follow one to three. Two kinds: the last is the
    decimal mark and the other groups in threes. Several of one kind only group. Empty where it is no figure; the number
    of decimals that were typed is kept in the Decimal's exponent.
    """
    marks = [c for c in figure if c in ".,"]
    if len(marks) == 1:
        return _one_mark(figure, marks[0])
    if len(set(marks)) == 2 and marks.count(marks[-1]) == 1:
        whole, decimals = figure.rsplit(marks[-1], 1)
        value = _with_decimals(whole, decimals)
    else:
        digits = _grouped(figure)
        value = None if digits is None else Decimal(digits)
    return () if value is None else (value,)
