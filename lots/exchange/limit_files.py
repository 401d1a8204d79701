"""Tables of limits as CSV files: one row a limit, columns by name; what cannot be read as a day or a yes is named by row."""

from __future__ import annotations

import csv
import datetime as dt
import io
from typing import Any

from django.utils.translation import gettext as _

from lots.record.errors import Refused
from lots.record.limit_tables import LimitLine

COLUMNS = (
    "code", "market", "parameter", "material", "basis", "bound", "value", "unit", "clause", "read_in", "caution", "checked_by",
    "valid_from", "valid_to", "informs",
)
NEEDED = ("code", "market", "parameter", "basis", "bound", "value", "unit", "clause", "read_in")
DAYS = {"valid_from": "valid_from_on", "valid_to": "valid_to_on"}
YES_NO = {"": False, "no": False, "0": False, "yes": True, "1": True}


def limit_lines(text: str) -> list[LimitLine]:
    """Return the rows of a file. Raises Refused that names every row which cannot be read, or the columns that are missing."""
    rows = csv.DictReader(io.StringIO(text))
    missing = [name for name in NEEDED if name not in (rows.fieldnames or ())]
    strange = [name for name in rows.fieldnames or () if name and name not in COLUMNS]
    if missing or strange:
        parts = [
            _("Columns are missing: %(names)s.") % {"names": ", ".join(missing)} if missing else "",
            _("Columns are not known: %(names)s.") % {"names": ", ".join(strange)} if strange else "",
        ]
        raise Refused(" ".join(part for part in (_("Nothing was written."), *parts) if part), "table")
    lines, faults = [], []
    for row in rows:
        fields, said = fields_of(row)
        lines.append(LimitLine(rows.line_num, (row.get("code") or "").strip(), fields))
        faults += [_("Row %(row)s: %(fault)s.") % {"row": rows.line_num, "fault": one} for one in said]
    if faults:
        raise Refused(" ".join([_("Nothing was written."), *faults]), "table")
    return lines


def fields_of(row: dict[str | None, Any]) -> tuple[dict[str, Any], list[str]]:
    """Return the fields of one row, and what in it cannot be read."""
    fields: dict[str, Any] = {}
    said = [_("it has more cells than the heading")] if None in row else []
    for name in COLUMNS[1:]:
        text = (row.get(name) or "").strip()
        if name in DAYS:
            try:
                fields[DAYS[name]] = dt.date.fromisoformat(text) if text else None
            except ValueError:
                said.append(_("%(name)s is “%(text)s”; write a day as 2026-07-14") % {"name": name, "text": text})
        elif name == "informs":
            if text.lower() not in YES_NO:
                said.append(_("informs is “%(text)s”; write yes or no") % {"text": text})
            fields[name] = YES_NO.get(text.lower(), False)
        else:
            fields[name] = text
    return fields, said
