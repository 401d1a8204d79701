"""Stock from before: lots that stood in the house when the book began, with the paper that tells their story."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _

from lots.models import OpeningStock
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import Lines, Moisture, Weight
from lots.record.writing import Writing


@act("opening.stock")
def stock(
    w: Writing,
    *,
    material: str,
    weighed: Weight,
    paper_no: str,
    origin: str,
    moisture: Moisture | None = None,
    sold_count: int = 0,
    sold_to: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Enter a lot from before the book: it opens with the share *origin unknown*, which it hands on for ever. Packs of it that were
    sold before are counted; to whom is sealed."""
    if not paper_no.strip():
        raise Refused(_("Which paper tells where this lot came from? Type its number or its name."), "paper_no")
    if not origin.strip():
        raise Refused(_("Say in a few words what the paper tells of its origin."), "origin")
    if sold_count < 0:
        raise Refused(_("How many packs were sold before? Type 0 for none."), "sold_count")
    if sold_count and not sold_to.strip():
        raise Refused(_("To whom were the packs sold? A recall has to reach them."), "sold_to")
    step = w.step("opening", "stock", happened_at)
    Lines(w, step).open(material, weighed, moisture, maker_ref)
    w.add(OpeningStock(step=step, paper_no=paper_no.strip(), origin=origin.strip(), sold_count=sold_count, sold_to=w.seal(sold_to.strip())))
