"""A whole table of limits enters the book in one act: all rows or none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from lots.models import Limit
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.limit_fields import limit_faults
from lots.record.registers import resolved
from lots.record.writing import Writing, next_version

FAULTS_SAID = 40
ROWS_MOST = 5000


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One row as a file gives it: the number of its line, its code, its fields."""

    row_no: int
    code: str
    fields: dict[str, Any]


@act("limits.load")
def load(w: Writing, *, rows: Sequence[LimitLine], valid_from_at: dt.datetime | None = None) -> None:
    """Enter the rows of a table; a code that is there already gets a new version. Every faulty row is named."""
    if not rows:
        raise Refused(_("The table is empty. Nothing was written."), "table")
    if len(rows) > ROWS_MOST:
        raise Refused(_("The table has %(count)s rows; %(most)s fit into one act.") % {"count": len(rows), "most": ROWS_MOST}, "table")
    faults = [fault for line in rows for fault in faults_of(line)] + twice(rows)
    if faults:
        raise Refused(told(faults), "table")
    at = w.at(valid_from_at)
    for line in rows:
        w.add(Limit(code=line.code, version=next_version(Limit, line.code), valid_from_at=at, **resolved(w, Limit, line.fields)))


def faults_of(line: LimitLine) -> list[str]:
    """Return what is wrong with one row, each with its number."""
    said = [words for _name, words in limit_faults(line.fields)]
    if not line.code or len(line.code) > Limit._meta.get_field("code").max_length:
        said.insert(0, _("no code of one to 24 signs"))
    said += [
        _("%(field)s is longer than %(most)s signs") % {"field": f.name, "most": f.max_length}
        for f in Limit._meta.concrete_fields if f.name in line.fields and isinstance(line.fields[f.name], str)
        and f.max_length and len(line.fields[f.name]) > f.max_length
    ]
    return [row_words(line.row_no, words) for words in said]


def twice(rows: Sequence[LimitLine]) -> list[str]:
    """Return the rows whose code stands in the table before them."""
    seen: dict[str, int] = {}
    found = []
    for line in rows:
        if line.code in seen:
            found.append(row_words(line.row_no, _("code %(code)s stands in row %(row)s too") % {"code": line.code, "row": seen[line.code]}))
        seen.setdefault(line.code, line.row_no)
    return found


def row_words(row_no: int, words: str) -> str:
    """Return a fault with the number of its row."""
    return _("Row %(row)s: %(fault)s.") % {"row": row_no, "fault": words}


def told(faults: Sequence[str]) -> str:
    """Return faults as one sentence after the other."""
    more = len(faults) - FAULTS_SAID
    tail = [_("And %(count)s more.") % {"count": more}] if more > 0 else []
    return " ".join([_("Nothing was written."), *faults[:FAULTS_SAID], *tail])
