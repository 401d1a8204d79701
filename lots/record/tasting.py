"""Tastings: words and marks of one taster for one lot."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import SensoryNote, Staff
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.writing import Writing

MARKED = ("aroma", "taste", "colour", "body", "foam")
MARK_LEAST, MARK_MOST = 1, 5


@act("tasting.note")
def note(
    w: Writing,
    *,
    lot: str,
    taster: str,
    tasted_on: dt.date,
    marks: Mapping[str, int],
    blind: bool,
    aroma: str = "",
    taste: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a tasting: five marks from 1 to 5, words for aroma and taste, and whether the taster knew the lot."""
    found = find_lot(lot)
    for name in MARKED:
        if not MARK_LEAST <= marks.get(name, 0) <= MARK_MOST:
            raise Refused(_("Every mark is from 1 to 5."), f"{name}_mark")
    step = w.step("tasting", "note", happened_at)
    if tasted_on > timezone.localtime(w.now).date():
        raise Refused(_("That day has not come yet. Type when it was tasted."), "tasted_on")
    w.touch(found)
    w.add(SensoryNote(
        step=step, lot=found, taster=w.in_force(Staff, taster, "staff", "taster"), tasted_on=tasted_on, blind=blind, aroma=aroma.strip(),
        taste=taste.strip(), **{f"{name}_mark": marks[name] for name in MARKED},
    ))
