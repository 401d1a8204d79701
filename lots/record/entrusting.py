"""For hire, across the door: leaf of ours goes to another mill; goods of others go back to whom they belong."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import HireMove, Lot, Party
from lots.read.holding import holds_on_lot
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import Lines, Weight, find_lot, find_lots, taken_over
from lots.record.writing import Writing


@act("entrusting.send")
def send(
    w: Writing,
    *,
    lot: str,
    party: str,
    paper_no: str,
    weighed: Weight | None = None,
    note: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Send a lot, or a weighed part of it, to another mill: it goes on as a lot of its own that they hold and its owner owns."""
    leaf = find_lot(lot, "lot")
    miller = w.in_force(Party, party, "parties", "party")
    must_be_on_paper(paper_no)
    refuse_stopped(leaf)
    step = w.step("entrusting", "send", happened_at)
    lines = Lines(w, step)
    drawn = lines.draw(leaf, weighed)
    scale = drawn.scale.code if drawn.scale else ""
    gone = lines.open(leaf.material, Weight(drawn.mass_mg, scale, drawn.reading_count), taken_over(drawn), maker_ref)
    gone.holder = miller
    w.add(HireMove(step=step, party=miller, paper_no=paper_no.strip(), note=note.strip()))


@act("entrusting.hand_over")
def hand_over(
    w: Writing, *, lots: Sequence[str], party: str, paper_no: str, note: str = "", happened_at: dt.datetime | None = None,
) -> None:
    """Hand whole lots back to whom they belong; what is ours, or somebody else's, does not go this way."""
    owner = w.in_force(Party, party, "parties", "party")
    must_be_on_paper(paper_no)
    if not lots:
        raise Refused(_("Scan the lots that are handed over, at least one."), "lots")
    step = w.step("entrusting", "hand_over", happened_at)
    lines = Lines(w, step)
    for lot in find_lots(lots, "lots"):
        whose = lot.owner.code if lot.owner else _("the house")
        if lot.owner is None or lot.owner.code != owner.code:
            msg = _("Lot %(lot)s belongs to %(owner)s, not to %(party)s.")
            raise Refused(msg % {"lot": lot, "owner": whose, "party": owner.code}, "lots")
        refuse_stopped(lot)
        lines.draw(lot)
    w.add(HireMove(step=step, party=owner, paper_no=paper_no.strip(), note=note.strip()))


def must_be_on_paper(paper_no: str) -> None:
    """Refuse what crosses the door without a paper."""
    if not paper_no.strip():
        raise Refused(_("Type the number of the paper that goes with it."), "paper_no")


def refuse_stopped(lot: Lot) -> None:
    """Refuse to let go what is held or fetched back."""
    for hold in holds_on_lot(lot):
        msg = _("Lot %(lot)s is stopped (%(reason)s). It stays here until that ends.")
        raise Refused(msg % {"lot": lot, "reason": hold.reason.rstrip(".")}, "lot")
