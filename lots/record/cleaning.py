"""Clean-down: a machine is cleaned; only one that was opened ends the contact with the leaf before it."""

from __future__ import annotations

import datetime as dt

from lots.models import CleanDown, Equipment
from lots.record.acts import act
from lots.record.writing import Writing


@act("cleaning.clean")
def clean(w: Writing, *, equipment: str, opened: bool, result: str = "", happened_at: dt.datetime | None = None) -> None:
    """Record a clean-down of one machine."""
    machine = w.in_force(Equipment, equipment, "machines", "equipment")
    step = w.step("cleaning", "clean", happened_at, equipment=machine)
    w.add(CleanDown(step=step, opened=opened, result=result))
