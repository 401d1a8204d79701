"""Salted commitments: a value about a person is bound by the journal without standing in it.

The journal keeps only SHA-256(02 || salt || canonical bytes of the value). Salt and value live in a table that may be
emptied; when both are gone the entry still verifies and nobody can learn or test the value.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets

from lots.journal.canonical import canonical_bytes
from lots.journal.digests import is_sha256_hex
from lots.journal.errors import JournalError

COMMITMENT_PREFIX = b"\x02"
SALT_SIZE = 16
REFERENCE_KEY = "$h"


def new_salt() -> bytes:
    """Return 16 fresh random bytes; each commitment takes its own."""
    return secrets.token_bytes(SALT_SIZE)


def commit(value: object, salt: bytes) -> str:
    """Return the commitment to a value of the journal's profile as 64 hexadecimal digits.

    SHA-256 over the byte 02, the 16 bytes of salt and the canonical bytes. The prefix keeps it apart from the leaves
    (00) and nodes (01) of the tree. Raises ``JournalError`` for a salt of another length or a value outside the
    profile.
    """
    if len(salt) != SALT_SIZE:
        raise JournalError(f"A commitment takes a salt of {SALT_SIZE} bytes; this one has {len(salt)}.")
    return hashlib.sha256(COMMITMENT_PREFIX + salt + canonical_bytes(value)).hexdigest()


def opens(commitment: str, value: object, salt: bytes) -> bool:
    """Tell whether value and salt are what the commitment was made of; malformed arguments open nothing."""
    try:
        made = commit(value, salt)
    except JournalError:
        return False
    return is_sha256_hex(commitment) and hmac.compare_digest(made, commitment)


def as_reference(commitment: str) -> dict[str, str]:
    """Return the form in which a commitment stands in an entry: ``{"$h": hex}``.

    Raises ``JournalError`` when the text is not a commitment.
    """
    if not is_sha256_hex(commitment):
        raise JournalError("A commitment is written as 64 lower-case hexadecimal digits.")
    return {REFERENCE_KEY: commitment}


def is_reference(value: object) -> bool:
    """Tell whether a value of an entry is a commitment and nothing else."""
    return isinstance(value, dict) and value.keys() == {REFERENCE_KEY} and is_sha256_hex(value[REFERENCE_KEY])
