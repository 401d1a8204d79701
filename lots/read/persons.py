"""Who is at the desk: the badge that goes with an account."""

from __future__ import annotations

from lots.models import Staff
from lots.read.registers import in_force


def badge_of(login: str) -> str:
    """Return the badge of the person who signs in under a name; empty where nobody has it in the register of staff."""
    row = in_force(Staff).filter(login=login).first() if login else None
    return row.code if row else ""
