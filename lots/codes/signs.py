"""The 32 signs of our codes, and how typed or scanned text is brought back to them.

Digits and capitals without I, L, O and U: nothing looks like something else. Text that a person typed or a scanner sent
through a foreign keyboard layout is folded first and compared afterwards.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from lots.codes.errors import CodeError

SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_VALUE = {sign: value for value, sign in enumerate(SIGNS)}
_BITS = 5
# U is left as it is: it looks like V and like 0 in handwriting, so it is refused rather than guessed.
_LOOK_ALIKE = str.maketrans({"O": "0", "I": "1", "L": "1"})
# Space, separators, control and format signs, dashes, connecting lines.
_DROPPED_CATEGORIES = frozenset({"Zs", "Zl", "Zp", "Cc", "Cf", "Pd", "Pc"})
# What a hyphen turns into: minus signs, bullets, box lines and long-vowel marks from an input method; the sharp s,
# apostrophes, accents and plus of layouts that have another key in the hyphen's place.
_DROPPED = frozenset("−⁻₋⁃˗─━ーｰ⁄∕ßẞ'’‘`´ʼ′+＋")


def fold(text: str) -> str:
    """Return text as it is compared: half-width capitals without separators, O read as 0, I and L as 1.

    Follows Unicode NFKC after everything was dropped that stands for a space or a hyphen, fraction signs included:
    some keyboard layouts send one half where the scanner meant a hyphen, and NFKC alone would turn it into 1 and 2.
    Signs that no code has stay in the text, so that the caller refuses it.
    """
    plain = unicodedata.normalize("NFKC", "".join(_kept(text)))
    return "".join(_kept(plain)).upper().translate(_LOOK_ALIKE)


def is_separator(sign: str) -> bool:
    """Tell whether one character stands for a space or a hyphen in a code that was typed or scanned."""
    if sign in _DROPPED or unicodedata.category(sign) in _DROPPED_CATEGORIES:
        return True
    return unicodedata.decomposition(sign).startswith("<fraction>")


def are_signs(text: str) -> bool:
    """Tell whether folded text has at least one sign and nothing but our 32 signs."""
    return bool(text) and all(sign in _VALUE for sign in text)


def encode(number: int, length: int) -> str:
    """Return a number from 0 as exactly ``length`` signs, five bits each, most significant first.

    Raises ``CodeError`` when the number does not fit.
    """
    if not 0 <= number < 1 << _BITS * length:
        raise CodeError(f"The number {number} does not fit into {length} signs.")
    return "".join(SIGNS[number >> _BITS * place & 31] for place in reversed(range(length)))


def decode(text: str) -> int:
    """Return the number that folded text of our 32 signs stands for; raises ``CodeError`` for any other text."""
    if not are_signs(text):
        raise CodeError(f"“{text[:40]}” has a sign that our codes do not have.")
    number = 0
    for sign in text:
        number = number << _BITS | _VALUE[sign]
    return number


def _kept(text: str) -> Iterator[str]:
    return (sign for sign in text if not is_separator(sign))
