"""Grit check: the first tub after a dressing is stopped in the tub's own act, and let go again when it was looked at and is clean."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import GritCheck, Hold
from lots.read.grit import found_before, grit_holds
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.writing import Writing


@act("grit.check")
def check(w: Writing, *, lot: str, clean: bool, looked: str, happened_at: dt.datetime | None = None) -> None:
    """Record a grit check of a tub. Clean ends the stop of the dressing; grit keeps it, or stops the lot if nothing did."""
    tub = find_lot(lot)
    if not looked.strip():
        raise Refused(_("Say how it was looked at: rubbed between glass, settled in water, through which sieve."), "looked")
    standing = grit_holds(tub)
    if clean and found_before(tub):
        msg = _("Grit was found in lot %(lot)s before. Say what was done with it since.")
        w.question(msg % {"lot": tub}, "clean")
    step = w.step("grit", "check", happened_at)
    w.touch(tub)
    w.add(GritCheck(step=step, lot=tub, clean=clean, looked=looked.strip()))
    if clean:
        for hold in standing:
            let_go(w, hold, looked.strip())
    elif not standing:
        reason = _("Grit was found in lot %(lot)s.") % {"lot": tub}
        w.add(Hold(lot=tub, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason))


def let_go(w: Writing, hold: Hold, looked: str) -> None:
    """End a stop of the dressing."""
    reason = _("Grit check: clean. %(looked)s") % {"looked": looked}
    w.add(Hold(lot=hold.lot, kind=Hold.Kind.RELEASE, happened_at=w.happened_at, reason=reason[:400], ends=hold))
