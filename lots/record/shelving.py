"""Cold shelves: a lot is put on a shelf, or taken off it. Two scans and nothing else; no mass moves."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import Lot, Place, Shelving, Step
from lots.read.places import place_of
from lots.record.acts import act
from lots.record.lines import find_lot
from lots.record.writing import Writing


@act("shelving.put")
def put(w: Writing, *, lot: str, place: str, happened_at: dt.datetime | None = None) -> None:
    """Put a lot on a shelf. Where it stood before it stands no longer."""
    found = find_lot(lot)
    step = w.step("shelving", "put", happened_at)
    shelve(w, step, found, w.in_force(Place, place, "shelves", "place"))


@act("shelving.take")
def take(w: Writing, *, lot: str, place: str, happened_at: dt.datetime | None = None) -> None:
    """Take a lot off a shelf. One that stands elsewhere by the book is asked about."""
    found = find_lot(lot)
    step = w.step("shelving", "take", happened_at)
    shelf = w.in_force(Place, place, "shelves", "place")
    stood = place_of(found)
    if stood != shelf.code:
        where = _("stands on shelf %(shelf)s by the book") % {"shelf": stood} if stood else _("stands on no shelf by the book")
        w.question(_("Lot %(lot)s %(where)s. Look at its label and at the shelf again.") % {"lot": found, "where": where}, "lot")
    shelve(w, step, found, shelf)


def shelve(w: Writing, step: Step, lot: Lot, place: Place) -> None:
    """Write where a lot stands, or from where it was taken."""
    w.touch(lot)
    w.add(Shelving(step=step, lot=lot, place=place))
