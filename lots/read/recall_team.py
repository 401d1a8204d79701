"""The recall team, the authorities, and whether the plan was tried within a year."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.models import AuthorityContact, RecallTeam
from lots.quality.retention import years_after
from lots.read.names import opened
from lots.read.registers import in_force


@dataclass(frozen=True, slots=True)
class Duty:
    """One task: who does it, who stands in, both telephones; empty where nothing was given or it was erased."""

    code: str
    task: str
    person: str
    phone: str
    deputy: str
    deputy_phone: str
    tested_on: dt.date | None


def duties() -> list[Duty]:
    """Return the team: two statements."""
    rows = list(in_force(RecallTeam))
    told = opened(seal for r in rows for seal in (r.person, r.phone, r.deputy, r.deputy_phone))
    return [
        Duty(r.code, r.task, *(told.get(seal, "") for seal in (r.person, r.phone, r.deputy, r.deputy_phone)), r.tested_on) for r in rows
    ]


def authorities() -> list[AuthorityContact]:
    """Return whom to call at which market's authority."""
    return list(in_force(AuthorityContact).order_by("market", "code"))


def trial_due_on(tested: list[dt.date | None]) -> dt.date | None:
    """Return by when the plan is to be tried again, from the days on which its tasks were last tried; None where one never was."""
    if not tested or None in tested:
        return None
    return years_after(min(day for day in tested if day is not None), 1)
