"""Back from hire: what another mill ground of a lot comes home and is held against what was sent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import HireMove
from lots.record.acts import act
from lots.record.entrusting import must_be_on_paper
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, common_moisture, find_lots
from lots.record.writing import Writing


@act("hiring.back")
def back(
    w: Writing,
    *,
    lots: Sequence[str],
    powder: Weight,
    left_over: Weight,
    paper_no: str,
    moisture: Moisture | None = None,
    sieved: bool = False,
    note: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Take back what was ground elsewhere: whole lots that one mill holds become powder and left-over, weighed at our door."""
    if not lots:
        raise Refused(_("Scan the lots that were sent, at least one."), "lots")
    sent = find_lots(lots, "lots")
    holders = {lot.holder.code if lot.holder else "" for lot in sent}
    if "" in holders or len(holders) > 1:
        raise Refused(_("Only lots that one other mill holds come back together. Look at the labels."), "lots")
    must_be_on_paper(paper_no)
    step = w.step("hiring", "back", happened_at)
    lines = Lines(w, step)
    fed = [lines.draw(lot) for lot in sent]
    lines.open("sieved_powder" if sieved else "tub_powder", powder, moisture, maker_ref)
    if left_over.mass_mg:
        lines.open("left_over", left_over, common_moisture(fed))
    w.add(HireMove(step=step, party=sent[0].holder, paper_no=paper_no.strip(), note=note.strip()))
    judge(w, "hiring")
