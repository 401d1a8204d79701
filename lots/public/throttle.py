"""A small bucket for each address and one for all together, so that codes cannot be tried through.

An address is kept only as a digest with a salt of the day, in the process's cache, never in a table.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from functools import lru_cache

from django.core.cache import cache
from django.http import HttpRequest

from ledger.clients import client_address

PER_MINUTE = 40
ALL_PER_MINUTE = 1200
WINDOW_S = 60


@lru_cache(maxsize=2)
def salt_of(day: int) -> bytes:
    """Return a random salt that lives as long as the process and the day."""
    return secrets.token_bytes(16) + day.to_bytes(4, "big")


def is_too_fast(request: HttpRequest) -> bool:
    """Count this request; return whether its address, or everybody together, asked too often within the minute."""
    now = int(time.time())
    salt = salt_of(now // 86_400)
    who = hmac.new(salt, client_address(request).encode(), hashlib.sha256).hexdigest()[:16]
    return bumped(f"pack:{who}", now) > PER_MINUTE or bumped("pack:all", now) > ALL_PER_MINUTE


def bumped(key: str, now: int) -> int:
    """Count one more under a key in this minute, and return the count."""
    name = f"{key}:{now // WINDOW_S}"
    if cache.add(name, 1, WINDOW_S * 2):
        return 1
    try:
        return int(cache.incr(name))
    except ValueError:  # it expired between the two calls
        return 1
