"""Hold, fetch back, release: a word that stops a lot and all that was made of it, and the word that ends it."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import Hold
from lots.read.grit import is_by_grit
from lots.read.results import is_by_result
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.writing import Writing


@act("holding.hold")
def hold(w: Writing, *, lot: str, reason: str, happened_at: dt.datetime | None = None) -> None:
    """Stop a lot: nothing that holds its leaf may be shipped until somebody releases it."""
    stop(w, lot, Hold.Kind.HOLD, reason, happened_at)


@act("holding.recall")
def fetch_back(
    w: Writing, *, lot: str, reason: str, what_to_do: str, what_to_do_ja: str = "", happened_at: dt.datetime | None = None
) -> None:
    """Fetch a lot back: as a hold, and the page of every pack says what its holder should do."""
    if not what_to_do.strip():
        raise Refused(_("Say what a person who holds such a pack should do. It stands on the pack's page."), "what_to_do")
    stop(w, lot, Hold.Kind.RECALL, reason, happened_at, what_to_do=what_to_do.strip(), what_to_do_ja=what_to_do_ja.strip())


def stop(w: Writing, code: str, kind: str, reason: str, happened_at: dt.datetime | None, **words: str) -> None:
    """Write a hold or a recall."""
    lot = find_lot(code)
    if not reason.strip():
        raise Refused(_("Say why lot %(lot)s is stopped. The reason stands in the lot book.") % {"lot": lot}, "reason")
    w.touch(lot)
    w.add(Hold(lot=lot, kind=kind, happened_at=w.at(happened_at), reason=reason.strip(), **words))


@act("holding.release")
def release(w: Writing, *, hold: int, reason: str, happened_at: dt.datetime | None = None) -> None:
    """End a hold or a recall, with the ground on which it ends."""
    first = Hold.objects.select_related("lot", "entry").exclude(kind=Hold.Kind.RELEASE).filter(pk=hold).first()
    if first is None:
        raise Refused(_("There is no hold number %(number)s.") % {"number": hold}, "hold")
    if Hold.objects.filter(ends=first).exists():
        raise Refused(_("The hold on lot %(lot)s was released before.") % {"lot": first.lot}, "hold")
    if is_by_result(first):
        msg = _("The laboratory stopped lot %(lot)s. It is released by a decision that names its results, under Tests and release.")
        raise Refused(msg % {"lot": first.lot}, "hold")
    if is_by_grit(first):
        msg = _("Lot %(lot)s waits for its grit check. It is let go by a clean one, under Checks.")
        raise Refused(msg % {"lot": first.lot}, "hold")
    if not reason.strip():
        msg = _("Say on what ground lot %(lot)s is released: which result, which assessment.")
        raise Refused(msg % {"lot": first.lot}, "reason")
    w.touch(first.lot)
    w.add(Hold(lot=first.lot, kind=Hold.Kind.RELEASE, happened_at=w.at(happened_at), reason=reason.strip(), ends=first))
