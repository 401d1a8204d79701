"""The checks of the demo mill: detectors, a check weight, rooms, and a day of checks. All invented."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from lots.record import climate, detecting, scale_check
from lots.record.acts import Act
from lots.record.climate import Reading
from lots.record.registers import enter

#: Register by the name of its rows in the file.
TABLES = {"machines": "equipment", "test_pieces": "test_piece", "check_weights": "check_weight", "rooms": "climate_band"}
KEEPER, HAND = "F", "A"


def lay_checks(file: Path) -> None:
    """Enter the registers of the file, then its checks."""
    data = json.loads(file.read_text(encoding="utf-8"))
    for rows, table in TABLES.items():
        for row in data[rows]:
            enter(Act(KEEPER), table=table, code=row["code"], fields=read(row))
    for row in data["tests"]:
        detecting.send_through(Act(HAND), piece=row["piece"], seen=True, happened_at=at(row))
    for row in data["scale_checks"]:
        scale_check.check(Act(HAND), scale=row["scale"], weight=row["weight"], shown_mg=row["shown_mg"], happened_at=at(row))
    for row in data["readings"]:
        reading = Reading(Decimal(row["temperature_c"]), Decimal(row["humidity_frac"]))
        climate.read(Act(HAND), room=row["room"], readings=[reading], happened_at=at(row))


def at(row: dict[str, Any]) -> dt.datetime:
    """Return when a row happened."""
    return dt.datetime.fromisoformat(row["at"])


def read(row: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of a row with its days and decimals read."""
    found = {k: dt.date.fromisoformat(v) if k.endswith("_on") else v for k, v in row.items() if k != "code"}
    return {k: Decimal(v) if k.endswith(("_mm", "_c", "_frac")) else v for k, v in found.items()}
