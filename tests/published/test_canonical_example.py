"""Canonical JSON as RFC 8785 prints it."""

from __future__ import annotations

import json

import pytest
import rfc8785

from lots.journal.canonical import canonical_bytes, parse
from lots.journal.errors import JournalError

# RFC 8785, section 3.2.2: the sample input.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
# RFC 8785, section 3.2.4: the canonical bytes of that sample.
SAMPLE_BYTES = bytes.fromhex(
    "7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72"
    "75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a"
    "5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31"
    "65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37"
    "5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30"
    "30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d"
)
NUMBERS = b'"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'


def test_the_package_gives_the_bytes_of_the_standard() -> None:
    assert rfc8785.dumps(json.loads(SAMPLE)) == SAMPLE_BYTES


def test_the_sample_without_its_fractions_gives_the_same_bytes_here() -> None:
    sample = json.loads(SAMPLE)
    del sample["numbers"]
    expected = SAMPLE_BYTES.replace(NUMBERS, b"")
    assert len(expected) == len(SAMPLE_BYTES) - len(NUMBERS)
    assert canonical_bytes(sample) == expected
    assert parse(expected) == sample


def test_the_fractions_of_the_sample_are_refused() -> None:
    with pytest.raises(JournalError, match=r"numbers\[0\] is of kind float"):
        canonical_bytes(json.loads(SAMPLE))
    with pytest.raises(JournalError, match="not a whole number"):
        parse(SAMPLE_BYTES)


# RFC 8785, appendix B: the largest and smallest integers that a double holds exactly.
@pytest.mark.parametrize("number", [9007199254740991, -9007199254740991])
def test_the_integer_bounds_of_the_standard(number: int) -> None:
    assert canonical_bytes(number) == str(number).encode()
    with pytest.raises(JournalError, match="beyond"):
        canonical_bytes(number + (1 if number > 0 else -1))
