"""Complaints: what somebody said of packs of a lot, how serious it is, and what was done."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Complaint
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.writing import Writing


@act("complaining.take")
def take(
    w: Writing,
    *,
    lot: str,
    received_on: dt.date,
    what: str,
    seriousness: str,
    pack_code: str = "",
    contact: str = "",
    done: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a complaint about a lot, with the code of the pack where it is known. It stops nothing by itself."""
    found = find_lot(lot)
    if not what.strip():
        raise Refused(_("Say what was complained of, in the person's own words."), "what")
    if seriousness not in set(Complaint.Seriousness.values):
        raise Refused(_("Say how serious it is."), "seriousness")
    step = w.step("complaining", "take", happened_at)
    if received_on > timezone.localtime(w.now).date():
        raise Refused(_("That day has not come yet. Type when the complaint was received."), "received_on")
    w.touch(found)
    w.add(Complaint(
        step=step, lot=found, pack_code=pack_code.strip(), received_on=received_on, what=what.strip(), seriousness=seriousness,
        contact=w.seal(contact.strip()), done=done.strip(),
    ))
