"""The office of the demo mill: lot rules, how long records are kept, authorisations, the recall team. All invented."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

from lots.record.acts import Act
from lots.record.registers import enter

#: Register by the name of its rows in the file.
TABLES = {
    "lot_rules": "lot_rule", "retention_rules": "retention_rule", "authorisations": "authorisation", "recall_team": "recall_team",
    "authorities": "authority_contact", "contacts": "party_contact",
}
BADGE = "F"


def lay_office(file: Path) -> None:
    """Enter the rows of the file; it knows only registers, so that no leaf moves."""
    data = json.loads(file.read_text(encoding="utf-8"))
    for rows, table in TABLES.items():
        for row in data[rows]:
            enter(Act(BADGE), table=table, code=row["code"], fields=read(row))


def read(row: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of a row with its days read."""
    return {k: dt.date.fromisoformat(v) if k.endswith("_on") else v for k, v in row.items() if k != "code"}
