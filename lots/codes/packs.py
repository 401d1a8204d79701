"""Codes of single packs, proved by computation and without a row for each pack.

Twenty signs: the letter T, then 90 bits (run number 24, pack number 20, tag 46), then the check character. The tag is
the head of HMAC-SHA-256 (RFC 2104) under the run's own random secret, so a code can be neither guessed nor counted
through, and a secret that leaks lets only the codes of its own run be made up.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass

from lots.codes.check import append_check, has_good_check
from lots.codes.errors import CodeError
from lots.codes.signs import are_signs, decode, encode, fold

PACK_LETTER = "T"
PACK_CODE_LENGTH = 20
SECRET_SIZE = 32
RUN_BITS, PACK_BITS, TAG_BITS = 24, 20, 46
RUN_NO_MAX = 2**RUN_BITS - 1
PACK_NO_MAX = 2**PACK_BITS - 1
GROUP = 5
TYPED_MAX = 200
_BODY_LENGTH = 18
_DOMAIN = b"tea-lot-ledger pack code v1\x00"
_DECOY_CODE = append_check(PACK_LETTER + encode(0, _BODY_LENGTH))
_DECOY_SECRET = bytes(SECRET_SIZE)


@dataclass(frozen=True, slots=True)
class PackParts:
    """What a pack code says: run number, pack number and the tag that proves both (46 bits)."""

    run_no: int
    pack_no: int
    tag: int


_DECOY_PARTS = PackParts(0, 0, 0)


def new_secret() -> bytes:
    """Return 32 fresh random bytes: the secret of one run, kept where it can be erased and never shown."""
    return secrets.token_bytes(SECRET_SIZE)


def pack_code(run_no: int, pack_no: int, secret: bytes) -> str:
    """Return the folded code of a pack.

    ``run_no`` from 0 to 16,777,215, ``pack_no`` from 0 to 1,048,575, ``secret`` the run's 32 bytes. Raises
    ``CodeError`` when a number or the secret does not fit. Twenty signs also fit a GS1 serial number (AI 21), and no
    two packs share one.
    """
    if not 0 <= run_no <= RUN_NO_MAX:
        raise CodeError(f"Run number {run_no} does not fit into a pack code; the last one is {RUN_NO_MAX}.")
    if not 0 <= pack_no <= PACK_NO_MAX:
        raise CodeError(f"Pack number {pack_no} does not fit into a pack code; open a new run after {PACK_NO_MAX}.")
    if len(secret) != SECRET_SIZE:
        raise CodeError(f"The secret of a run has {SECRET_SIZE} bytes; this one has {len(secret)}.")
    bits = (run_no << PACK_BITS | pack_no) << TAG_BITS | _tag(run_no, pack_no, secret)
    return append_check(PACK_LETTER + encode(bits, _BODY_LENGTH))


def parse_pack_code(text: str) -> str | None:
    """Return the folded pack code that was typed or scanned, or None when it is none.

    Says nothing about whether such a pack was ever packed: ``belongs`` does.
    """
    code = fold(text[:TYPED_MAX])
    return code if _is_pack_code(code) else None


def is_well_formed(text: str) -> bool:
    """Tell whether text in any spelling has the form of a pack code, check character included."""
    return parse_pack_code(text) is not None


def split(code: str) -> PackParts | None:
    """Return the parts of a pack code in any spelling, or None when it is malformed.

    A malformed code goes through the same steps as a good one, so that the time of the answer does not tell them apart.
    """
    good = parse_pack_code(code)
    bits = decode((good or _DECOY_CODE)[1:-1])
    numbers, tag = divmod(bits, 1 << TAG_BITS)
    run_no, pack_no = divmod(numbers, 1 << PACK_BITS)
    parts = PackParts(run_no, pack_no, tag)
    return parts if good else None


def belongs(parts: PackParts | None, secret: bytes | None) -> bool:
    """Tell whether the tag is the one that the run's secret gives, compared in constant time.

    Hand on None for a malformed code or a run that nobody knows: the same work is done and the answer is no, so that a
    stranger cannot learn from the clock which runs exist.
    """
    known = parts is not None and secret is not None and len(secret) == SECRET_SIZE
    asked = parts or _DECOY_PARTS
    made = _tag(asked.run_no, asked.pack_no, (secret if known else None) or _DECOY_SECRET)
    return hmac.compare_digest(_tag_bytes(made), _tag_bytes(asked.tag)) and known


def print_form(code: str) -> str:
    """Return the code as people read it, in groups of five; raises ``CodeError`` when it is no pack code."""
    folded = parse_pack_code(code)
    if folded is None:
        raise CodeError(f"“{code[:40]}” is no pack code.")
    return "-".join(folded[at : at + GROUP] for at in range(0, PACK_CODE_LENGTH, GROUP))


def _tag(run_no: int, pack_no: int, secret: bytes) -> int:
    message = _DOMAIN + run_no.to_bytes(3, "big") + pack_no.to_bytes(3, "big")
    digest = hmac.new(secret, message, hashlib.sha256).digest()
    return int.from_bytes(digest, "big") >> len(digest) * 8 - TAG_BITS


def _tag_bytes(tag: int) -> bytes:
    return tag.to_bytes(6, "big")


def _is_pack_code(code: str) -> bool:
    # All questions are asked of a code of the right length, whatever came in.
    asked = code if len(code) == PACK_CODE_LENGTH else _DECOY_CODE
    answers = (asked == code, asked[:1] == PACK_LETTER, are_signs(asked), has_good_check(asked))
    return all(answers)
