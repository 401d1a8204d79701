"""Going out: packs leave for a consignee. What is held, fetched back, past its day or not here cannot be promised."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Consignment, Flow, PackedUnit, PackMove, Party, Step
from lots.read.holding import holds_on_lot
from lots.read.series import SeriesState, series_state
from lots.record.acts import act
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


@act("dispatch.consignment")
def consign(
    w: Writing,
    *,
    consignee: str,
    packs: Sequence[Packs],
    document_no: str = "",
    carrier: str = "",
    recipient: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record packs that leave for one consignee under one document."""
    if not packs:
        raise Refused(_("Scan the packs that go out, at least one."), "packs")
    party = w.in_force(Party, consignee, "parties", "consignee")
    step = w.step("dispatch", "consignment", happened_at)
    day = timezone.localtime(step.happened_at).date()
    lines = Lines(w, step)
    sent = [send(w, step, one, day) for one in packs]
    for unit in {unit.pk: unit for unit in sent}.values():
        draw_share(w, lines, unit)
    w.add(Consignment(
        step=step, consignee=party, document_no=document_no.strip(), carrier=carrier.strip(), recipient=w.seal(recipient)
    ))


def send(w: Writing, step: Step, packs: Packs, day: dt.date) -> PackedUnit:
    """Send packs of one series, unless they may not leave or are not here."""
    lot = find_lot(packs.lot, "packs")
    unit = PackedUnit.objects.select_related("lot", "product").filter(lot=lot).first()
    if unit is None:
        raise Refused(_("Lot %(lot)s is not a lot of packs. Scan a pack or the label of its case.") % {"lot": lot}, "packs")
    refuse_stopped(unit, day)
    refuse_not_here(unit, series_state(unit, going_out(w, unit)), packs)
    last_no = packs.first_no + packs.pack_count - 1 if packs.first_no is not None else None
    w.add(PackMove(
        step=step, unit=unit, fate=PackMove.Fate.DISPATCHED, pack_count=packs.pack_count,
        first_no=packs.first_no, last_no=last_no,
    ))
    return unit


def going_out(w: Writing, unit: PackedUnit) -> list[PackMove]:
    """Return what this act has sent of a series so far."""
    return [move for move in w.rows_of(PackMove) if move.unit_id == unit.pk]


def draw_share(w: Writing, lines: Lines, unit: PackedUnit) -> None:
    """Draw the packs' share of what the book has of their series, in one line: the last pack takes what is left."""
    pack_count = sum(move.pack_count for move in going_out(w, unit))
    mass_mg = round(max(0, lines.book_mg(unit.lot)) * pack_count / series_state(unit).here_count)
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


def refuse_not_here(unit: PackedUnit, state: SeriesState, packs: Packs) -> None:
    """Refuse packs that are not in stock, by count and, where they were scanned, by number."""
    if packs.pack_count < 1:
        raise Refused(_("How many packs go out? At least one."), "packs")
    if packs.pack_count > state.here_count:
        msg = _("%(asked)s packs of %(packs)s were asked for and %(here)s are here.")
        raise Refused(msg % {"asked": packs.pack_count, "packs": unit.lot, "here": state.here_count}, "packs")
    if packs.first_no is None:
        return
    last_no = packs.first_no + packs.pack_count - 1
    gone = state.first_gone_in(packs.first_no, last_no)
    if gone is not None or packs.first_no < unit.first_no or last_no > unit.last_no:
        series = _("the series runs from %(first)s to %(last)s") % {"first": unit.first_no, "last": unit.last_no}
        what = _("number %(number)s has gone before") % {"number": gone} if gone else series
        msg = _("Numbers %(first)s to %(last)s of %(packs)s are not all here: %(what)s.")
        raise Refused(msg % {"first": packs.first_no, "last": last_no, "packs": unit.lot, "what": what}, "packs")
