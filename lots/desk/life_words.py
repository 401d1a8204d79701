"""The life of a lot as rows of a table: what happened in words, in, out, what stood afterwards, and the entry."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.saying import clock_text, paragraph, share_text
from lots.desk.stop_words import stop_name, stop_sentence
from lots.desk.words import entry_number, language, mass, material_word, stage_word
from lots.quality.shading import Shade
from lots.read.lot_book import LotBook
from lots.read.lot_life import LifeLine
from lots.read.origins import OriginShare
from lots.read.stops import Stop
from lots.trade.units import days_text, kg_text

#: More stops than this before a lot are told on the page of its trace.
BEFORE_MAX = 8


@dataclass(frozen=True, slots=True)
class LifeRow:
    """One row: masses in mg or None, whether the figure was replaced, whether it is the figure that replaced another."""

    at: dt.datetime
    what: str
    note: str
    in_mg: int | None
    out_mg: int | None
    signed: bool
    after_mg: int | None
    struck: bool
    standing: bool
    first_entry: int
    last_entry: int


def life_rows(book: LotBook) -> list[LifeRow]:
    """Return the rows before the lot, then those of its own life."""
    origins = {o.harvest: o for o in book.origins if o.harvest is not None}
    before = book.before if len(book.before) <= BEFORE_MAX else ()
    own = (life_row(line, book.shades.get(line.step)) for line in book.life)
    return [*(before_row(stop, origins, book.shades) for stop in before), *own]


def before_row(stop: Stop, origins: Mapping[int | None, OriginShare], shades: Mapping[int, Shade]) -> LifeRow:
    """Return a stop that the leaf came through before it was this lot."""
    harvest = origins.get(stop.steps[0])
    what = plucked(stop, harvest, shades.get(stop.steps[0])) if harvest else _("%(stage)s: %(what)s; %(made)s") % {
        "stage": stage_word(stop.stage), "what": stop_name(stop), "made": stop_sentence(stop).rstrip(".。")}
    return LifeRow(stop.first_at, what, "", None, None, signed=False, after_mg=None, struck=False, standing=False,
                   first_entry=stop.entry, last_entry=stop.entry)


def plucked(stop: Stop, harvest: OriginShare, shade: Shade | None = None) -> str:
    """Return a plucking: plot, bags, the lot of fresh leaf, and how long it was under cover."""
    bags = ngettext("%(count)d bag", "%(count)d bags", harvest.bag_count) % {"count": harvest.bag_count}
    part = _("%(share)s of it: ") % {"share": share_text(harvest.share_frac)} if harvest.share_frac < 1 else ""
    said = part + _("Plucked at %(plot)s, %(bags)s; %(lot)s, %(mass)s") % {
        "plot": harvest.plot_name, "bags": bags, "lot": stop.name, "mass": mass(harvest.fresh_mg)}
    return said + under_cover(shade)


def under_cover(shade: Shade | None) -> str:
    """Return how long leaf was under cover, to go on after what was said of it."""
    return _("; under cover for %(days)s") % {"days": days_text(shade.covered_days, language())} if shade else ""


def life_row(line: LifeLine, shade: Shade | None = None) -> LifeRow:
    """Return one line of the lot's own life; a plucking says how long it was under cover."""
    into, said = line.in_mg, what_happened(line) + (under_cover(shade) if line.difference_mg is None else "")
    if line.difference_mg:
        into = line.difference_mg
    return LifeRow(
        line.at, said, note_of(line), into, line.out_mg, signed=bool(line.difference_mg),
        after_mg=line.after_mg, struck=line.struck, standing=line.stage == "correcting" and line.part == "adjust",
        first_entry=line.first_entry, last_entry=line.last_entry,
    )


def what_happened(line: LifeLine) -> str:
    """Return a line in words."""
    if line.stage == "correcting":
        said = _("Taken back, entry %(number)s: it did not happen") if line.part == "reverse" else _(
            "Correction of entry %(number)s")
        return said % {"number": entry_number(line.corrects_entry or 0)}
    if line.stage == "counting":
        return counted(line)
    if line.role == "deducted_water":
        return _("Water deducted, not leaf")
    if line.difference_mg is not None:
        return _("Emptied; what was then missing or left over")
    if line.out_mg is not None:
        return drawn(line)
    return _("%(stage)s, %(clock)s%(badge)s: %(material)s") % {
        "stage": stage_word(line.stage), "clock": clock_text(line.at), "material": material_word(line.role),
        "badge": _(", badge %(badge)s") % {"badge": line.badge} if line.badge else "",
    }


def counted(line: LifeLine) -> str:
    """Return a stock count."""
    bags = ngettext(" with %(count)d bag of left-over", " with %(count)d bags of left-over", line.bag_count) % {
        "count": line.bag_count} if line.bag_count else ""
    return _("Shelf counted%(bags)s: %(mass)s") % {"bags": bags, "mass": kg_text(line.counted_mg or 0, 2, language())}


def drawn(line: LifeLine) -> str:
    """Return a draw by where it went."""
    if line.stage == "milling":
        times = ngettext("%(count)d charge", "%(count)d charges", line.count) % {"count": line.count}
        job = _("job %(job)s, ") % {"job": line.job} if line.job else ""
        return _("To the stones, %(job)s%(times)s") % {"job": job, "times": times}
    if line.stage == "dispatch":
        return _("Gone out")
    if line.stage == "removing":
        words = {"spill": _("Spilt"), "own_use": _("Used in the house"), "gift": _("Given away"), "destroy": _("Destroyed"),
                 "downgrade": _("Lowered: another lot from then on")}
        return words.get(line.part, stage_word(line.stage))
    if line.stage == "returning":
        return _("Destroyed after they came back")
    return _("To the next stage: %(stage)s") % {"stage": stage_word(line.stage).lower()}


def note_of(line: LifeLine) -> str:
    """Return what the book asked when a line was written, and the reason that was given."""
    reason = _("Reason: %(reason)s.") % {"reason": line.reason.rstrip(".")} if line.reason else ""
    asked = _("The book asked: %(question)s") % {"question": line.questioned} if line.questioned else ""
    return paragraph([asked, reason])
