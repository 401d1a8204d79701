"""Check character by the hybrid system of ISO/IEC 7064, MOD M+1,M, over an alphabet of M signs.

The standard names it for 10, 26 and 36 signs; the construction holds for every even M, because doubling modulo M+1
then loses nothing. Ours has 32 signs, so the check character is one of the same 32. Every single wrong sign is found;
of swapped neighbours one pair in 496 passes. Codes have a fixed length, which finds what was lost or doubled.
"""

from __future__ import annotations

from lots.codes.errors import CodeError
from lots.codes.signs import SIGNS


def check_character(text: str, alphabet: str = SIGNS) -> str:
    """Return the sign to append to ``text``; raises ``CodeError`` when a sign of the text is not in the alphabet.

    ISO/IEC 7064 hybrid system: P starts at M; for each sign P = P + value modulo M, with M in place of 0, then P = 2 P
    modulo M+1. The check character c is the one that makes P + c = 1 modulo M.
    """
    return alphabet[(1 - _running_product(text, alphabet)) % len(alphabet)]


def append_check(text: str, alphabet: str = SIGNS) -> str:
    """Return ``text`` with its check character; raises ``CodeError`` like ``check_character``."""
    return text + check_character(text, alphabet)


def has_good_check(text: str, alphabet: str = SIGNS) -> bool:
    """Tell whether text has at least two signs, all of the alphabet, and the last checks those before it."""
    if len(text) < 2 or any(sign not in alphabet for sign in text):
        return False
    return check_character(text[:-1], alphabet) == text[-1]


def _running_product(text: str, alphabet: str) -> int:
    modulus = len(alphabet)
    product = modulus
    for sign in text:
        value = alphabet.find(sign)
        if value < 0:
            raise CodeError(f"“{sign}” is not one of the {modulus} signs that this check character covers.")
        product = ((product + value) % modulus or modulus) * 2 % (modulus + 1)
    return product
