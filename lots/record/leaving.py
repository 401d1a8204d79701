"""What may leave: packs of a series, unless they are stopped, not here, in a case, or waiting for quality."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.codes.lots import print_form
from lots.models import Flow, PackedUnit, PackMove, Step
from lots.read.holding import holds_on_lot
from lots.read.loose import Loose, loose
from lots.read.series import series_state
from lots.record.errors import Refused
from lots.record.lines import Lines, find_lot, opening_flow, taken_over
from lots.record.words import hold_word
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Packs:
    """Packs as the desk gives them: the lot of their series, how many, and the first number where they were scanned."""

    lot: str
    pack_count: int
    first_no: int | None = None


def series_named(code: str, field: str = "packs") -> PackedUnit:
    """Return the series of a lot of packs, or refuse."""
    lot = find_lot(code, field)
    unit = PackedUnit.objects.select_related("lot", "product").filter(lot=lot).first()
    if unit is None:
        raise Refused(_("Lot %(lot)s is not a lot of packs. Scan a pack or the label of its case.") % {"lot": lot}, field)
    return unit


def send(w: Writing, step: Step, packs: Packs, day: dt.date, cases: Collection[int] = ()) -> PackedUnit:
    """Send packs of one series, unless they may not leave or are not here. ``cases`` are those that leave with them."""
    unit = series_named(packs.lot)
    refuse_stopped(unit, day)
    refuse_not_here(unit, loose(unit, going_out(w, unit), cases), packs)
    move(w, step, unit, packs, PackMove.Fate.DISPATCHED)
    return unit


def move(w: Writing, step: Step, unit: PackedUnit, packs: Packs, fate: PackMove.Fate) -> None:
    """Write what became of packs."""
    last_no = packs.first_no + packs.pack_count - 1 if packs.first_no is not None else None
    w.add(PackMove(step=step, unit=unit, fate=fate, pack_count=packs.pack_count, first_no=packs.first_no, last_no=last_no))


def going_out(w: Writing, unit: PackedUnit) -> list[PackMove]:
    """Return what this act has sent of a series so far."""
    return [move for move in w.rows_of(PackMove) if move.unit_id == unit.pk]


def draw_share(w: Writing, lines: Lines, unit: PackedUnit) -> None:
    """Draw the packs' share of what the book has of their series, in one line a step: the last pack takes what is left."""
    sent = going_out(w, unit)
    earlier = sum(move.pack_count for move in sent if move.step != lines.step)
    pack_count = sum(move.pack_count for move in sent)
    whole_mg, here_count = max(0, lines.book_mg(unit.lot)), series_state(unit).here_count
    mass_mg = round(whole_mg * pack_count / here_count) - round(whole_mg * earlier / here_count)
    w.flow(
        step=lines.step, kind=Flow.Kind.IN, role="packs", lot=unit.lot, mass_mg=mass_mg, reading_count=0,
        **taken_over(opening_flow(unit.lot)),
    )


def refuse_stopped(unit: PackedUnit, day: dt.date) -> None:
    """Refuse packs that are held, fetched back, kept as samples or past their day."""
    for hold in holds_on_lot(unit.lot):
        msg = _(
            "%(packs)s cannot go out: a %(hold)s stands on lot %(lot)s since %(since)s (%(reason)s). The quality lead can release it."
        )
        words = {
            "packs": unit.lot, "hold": hold_word(hold.kind), "lot": hold.lot, "since": f"{hold.since_at:%Y-%m-%d}", "reason": hold.reason,
        }
        raise Refused(msg % words, "packs")
    if unit.retained:
        raise Refused(_("%(packs)s are kept samples. They stay here.") % {"packs": unit.lot}, "packs")
    if unit.best_before_on < day:
        msg = _("%(packs)s cannot go out: best before %(day)s has passed.") % {"packs": unit.lot, "day": unit.best_before_on}
        raise Refused(msg, "packs")


def refuse_not_here(unit: PackedUnit, here: Loose, packs: Packs) -> None:
    """Refuse packs that are not in stock, by count and, where they were scanned, by number."""
    if packs.pack_count < 1:
        raise Refused(_("How many packs go out? At least one."), "packs")
    if packs.pack_count > here.state.here_count:
        msg = _("%(asked)s packs of %(packs)s were asked for and %(here)s are here.")
        raise Refused(msg % {"asked": packs.pack_count, "packs": unit.lot, "here": here.state.here_count}, "packs")
    if packs.first_no is not None:
        last_no = packs.first_no + packs.pack_count - 1
        refuse_numbers(unit, here, packs.first_no, last_no)
        refuse_bound(unit, here, packs.first_no, last_no)
    if packs.pack_count > here.free_count:
        msg = _("%(asked)s packs of %(packs)s were asked for. %(here)s are here, %(cased)s of them in cases, %(waiting)s wait for quality.")
        raise Refused(msg % {
            "asked": packs.pack_count, "packs": unit.lot, "here": here.state.here_count, "cased": here.cased_count,
            "waiting": here.waiting_count,
        }, "packs")


def refuse_numbers(unit: PackedUnit, here: Loose, first_no: int, last_no: int) -> None:
    """Refuse numbers that the series does not have or that are gone."""
    gone = here.state.first_gone_in(first_no, last_no)
    if gone is not None or first_no < unit.first_no or last_no > unit.last_no:
        series = _("the series runs from %(first)s to %(last)s") % {"first": unit.first_no, "last": unit.last_no}
        what = _("number %(number)s has gone before") % {"number": gone} if gone else series
        msg = _("Numbers %(first)s to %(last)s of %(packs)s are not all here: %(what)s.")
        raise Refused(msg % {"first": first_no, "last": last_no, "packs": unit.lot, "what": what}, "packs")


def refuse_bound(unit: PackedUnit, here: Loose, first_no: int, last_no: int) -> None:
    """Refuse numbers that lie in a case, or that came back and wait for quality."""
    case = here.case_in(first_no, last_no)
    if case is not None:
        msg = _("Number %(number)s of %(packs)s lies in case %(case)s. Scan the case, or open it first.")
        raise Refused(msg % {"number": case[0], "packs": unit.lot, "case": print_form(case[1])}, "packs")
    waiting = here.waiting_in(first_no, last_no)
    if waiting is not None:
        msg = _("Number %(number)s of %(packs)s came back and waits for the word of quality.")
        raise Refused(msg % {"number": waiting, "packs": unit.lot}, "packs")
