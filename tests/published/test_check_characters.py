"""Check characters of ISO/IEC 7064 hybrid systems as others have published them, at 10, 16, 26 and 36 signs."""

from __future__ import annotations

import string

import pytest

from lots.codes.check import append_check, check_character, has_good_check

DIGITS = string.digits
HEX = DIGITS + "ABCDEF"
LETTERS = string.ascii_uppercase
BOTH = DIGITS + LETTERS

PUBLISHED = [
    # ISO/IEC 7064:2003, section 10.1.2, the standard's own example (as quoted by open test suites; the standard was not read).
    (DIGITS, "0794", "5"),
    # python-stdnum, documentation of its MOD 11,10.
    (DIGITS, "79462", "3"),
    (DIGITS, "00200667308", "5"),
    # A German VAT number, from the same documentation.
    (DIGITS, "13669597", "6"),
    # A German tax number, from memory, common knowledge.
    (DIGITS, "8609574271", "9"),
    # cdigit, README.
    (DIGITS, "1234", "0"),
    (LETTERS, "ABCD", "R"),
    # MOD 17,16, README of node-iso7064: outside the three systems that the standard names, as ours is.
    (HEX, "D98989898909898", "B"),
    # Global Release Identifier A1-2425G-ABC1234002-M, the example of its standard.
    (BOTH, "A12425GABC1234002", "M"),
    # International Standard Audiovisual Numbers, two check characters each: python-stdnum, documentation.
    (BOTH, "0000000189470000", "8"),
    (BOTH, "000000018947000000000000", "D"),
    (BOTH, "000000018CFA0000", "I"),
    (BOTH, "000000018CFA000000000000", "K"),
    (BOTH, "00000000D07A0090", "Q"),
    (BOTH, "00000000D07A009000000000", "X"),
    (BOTH, "188166C734206541", "Y"),
    (BOTH, "188166C7342065419F3A0245", "O"),
]


@pytest.mark.parametrize(("alphabet", "body", "check"), PUBLISHED)
def test_published_check_characters(alphabet: str, body: str, check: str) -> None:
    assert check_character(body, alphabet) == check
    assert append_check(body, alphabet) == body + check
    assert has_good_check(body + check, alphabet)


@pytest.mark.parametrize(("alphabet", "code"), [
    (DIGITS, "136695978"),  # python-stdnum: a VAT number with a wrong digit
    (DIGITS, "12345"),  # cdigit, README
    (LETTERS, "ABCDE"),
    (BOTH, "A12425GABC1234002Q"),  # python-stdnum: a release identifier with a wrong check character
    (BOTH, "000000018CFA0000A"),
])  # fmt: skip
def test_published_wrong_ones(alphabet: str, code: str) -> None:
    assert not has_good_check(code, alphabet)
