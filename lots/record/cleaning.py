"""Clean-down: a machine is cleaned; only one that was opened ends the contact with the leaf before it."""

from __future__ import annotations

import datetime as dt

from lots.models import CleanDown, Equipment, Staff
from lots.record.acts import act
from lots.record.writing import Writing


@act("cleaning.clean")
def clean(
    w: Writing,
    *,
    equipment: str,
    opened: bool,
    result: str = "",
    done: str = "",
    manner: str = "",
    first_out: str = "",
    checked_by: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a clean-down of one machine: what was done, dry or wet, what became of the first material, who checked it (a badge)."""
    machine = w.in_force(Equipment, equipment, "machines", "equipment")
    checker = w.in_force(Staff, checked_by, "staff", "checked_by") if checked_by else None
    step = w.step("cleaning", "clean", happened_at, equipment=machine)
    w.add(CleanDown(
        step=step, opened=opened, result=result, done=done, manner=manner, first_out=first_out, checked_by=checker,
    ))
