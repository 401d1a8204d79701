"""SHA-256 as the journal writes it: 64 lower-case hexadecimal digits."""

from __future__ import annotations

import hashlib
import re

HASH_SIZE = 32
_HEX = re.compile(r"[0-9a-f]{64}")


def sha256_hex(data: bytes) -> str:
    """SHA-256 of the bytes as 64 lower-case hexadecimal digits (FIPS 180-4)."""
    return hashlib.sha256(data).hexdigest()


def is_sha256_hex(value: object) -> bool:
    """Tell whether the value is text of exactly 64 lower-case hexadecimal digits."""
    return isinstance(value, str) and _HEX.fullmatch(value) is not None
