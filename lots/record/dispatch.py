"""Going out: packs leave for a consignee. What is held, fetched back, past its day or not here cannot be promised."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from lots.models import Consignment, Flow, PackedUnit, PackMove, Party
from lots.read.holding import holds_on_lot
from lots.read.series import SeriesState, series_state
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import Lines, find_lot, opening_flow, taken_over
from lots.record.writing import Writing, in_force


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
        raise Refused("Scan the packs that go out, at least one.", "packs")
    party = in_force(Party, consignee, "parties", "consignee")
    step = w.step("dispatch", "consignment", happened_at)
    day = timezone.localtime(step.happened_at).date()
    lines = Lines(w, step)
    for one in packs:
        send(w, lines, one, day)
    w.add(Consignment(
        step=step, consignee=party, document_no=document_no.strip(), carrier=carrier.strip(), recipient=w.seal(recipient)
    ))


def send(w: Writing, lines: Lines, packs: Packs, day: dt.date) -> None:
    """Send packs of one series: refuse what may not leave, then draw their share of the series' mass."""
    lot = find_lot(packs.lot, "packs")
    unit = PackedUnit.objects.select_related("lot", "product").filter(lot=lot).first()
    if unit is None:
        raise Refused(f"Lot {lot} is not a lot of packs. Scan a pack or the label of its case.", "packs")
    refuse_stopped(unit, day)
    state = series_state(unit)
    written = sum(move.pack_count for move in w.rows_of(PackMove) if move.unit_id == unit.pk)
    refuse_not_here(unit, state, packs, written)
    mass_mg = share_mg(unit, state.gone_count + written, packs.pack_count)
    w.flow(
        step=lines.step, kind=Flow.Kind.IN, role="packs", lot=lot, mass_mg=mass_mg, reading_count=0,
        **taken_over(opening_flow(lot)),
    )
    last_no = packs.first_no + packs.pack_count - 1 if packs.first_no is not None else None
    w.add(PackMove(
        step=lines.step, unit=unit, fate=PackMove.Fate.DISPATCHED, pack_count=packs.pack_count,
        first_no=packs.first_no, last_no=last_no,
    ))


def refuse_stopped(unit: PackedUnit, day: dt.date) -> None:
    """Refuse packs that are held, fetched back, kept as samples or past their day."""
    for hold in holds_on_lot(unit.lot):
        raise Refused(
            f"{unit.lot} cannot go out: a {hold.kind} stands on lot {hold.lot} since {hold.since_at:%Y-%m-%d} ({hold.reason}). "
            "The quality lead can release it.", "packs",
        )
    if unit.retained:
        raise Refused(f"{unit.lot} are kept samples. They stay here.", "packs")
    if unit.best_before_on < day:
        raise Refused(f"{unit.lot} cannot go out: best before {unit.best_before_on} has passed.", "packs")


def refuse_not_here(unit: PackedUnit, state: SeriesState, packs: Packs, written: int) -> None:
    """Refuse packs that are not in stock."""
    if packs.pack_count < 1:
        raise Refused("How many packs go out? At least one.", "packs")
    left = state.here_count - written
    if packs.pack_count > left:
        raise Refused(f"{packs.pack_count} packs of {unit.lot} were asked for and {left} are here.", "packs")
    if packs.first_no is None:
        return
    last_no = packs.first_no + packs.pack_count - 1
    gone = state.first_gone_in(packs.first_no, last_no)
    if gone is not None or packs.first_no < unit.first_no or last_no > unit.last_no:
        what = f"number {gone} has gone before" if gone else f"the series runs from {unit.first_no} to {unit.last_no}"
        raise Refused(f"Numbers {packs.first_no} to {last_no} of {unit.lot} are not all here: {what}.", "packs")


def share_mg(unit: PackedUnit, gone_count: int, pack_count: int) -> int:
    """Return the packs' share of the series' mass, so that the shares of all packs sum to the whole."""
    whole = unit.lot.mass_mg
    return round(whole * (gone_count + pack_count) / unit.pack_count) - round(whole * gone_count / unit.pack_count)
