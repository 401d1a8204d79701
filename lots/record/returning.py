"""Returns: packs come back from a consignment and wait; quality lets them into stock, or they are destroyed before a witness."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import Flow, PackedUnit, PackMove, PackReturn, ReturnFate, Staff, Step
from lots.read.cases import taken_back
from lots.read.returns import deliveries, delivery_of, mass_out_mg
from lots.read.series import series_state
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.leaving import Packs, move, series_named
from lots.record.lines import opening_flow, taken_over
from lots.record.writing import Writing

DESTROYED = "destroyed"


@act("returning.take_back")
def take_back(
    w: Writing,
    *,
    packs: Sequence[Packs],
    why: str,
    state: str,
    consignment: int | None = None,
    sender: str = "",
    destroyed: bool = False,
    witness: str = "",
    evidence: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record packs that came back, for each consignment that they left with a step of its own."""
    if not packs:
        raise Refused(_("Scan the packs that came back, at least one."), "packs")
    if not why.strip():
        raise Refused(_("Say why the packs came back."), "why")
    groups: dict[int, list[tuple[PackedUnit, Packs]]] = defaultdict(list)
    for one in packs:
        unit = series_named(one.lot)
        for step, some in parted(unit, one, consignment):
            refuse_more_than_out(unit, step, some.pack_count + sum(p.pack_count for u, p in groups[step] if u.pk == unit.pk))
            groups[step].append((unit, some))
    first: int | None = None
    for sent, some_packs in sorted(groups.items()):
        came = w.step("returning", "take_back", happened_at)
        first = first or came.pk
        w.add(PackReturn(
            step=came, consignment=Step.objects.get(pk=sent), sender=w.seal(sender.strip()), why=why.strip(), state=state,
        ))
        for unit, some in some_packs:
            move(w, came, unit, some, PackMove.Fate.RETURNED)
        masses = {unit: returned_mg(sent, unit, some_packs) for unit in dict.fromkeys(unit for unit, _some in some_packs)}
        for unit, mass_mg in masses.items():
            line(w, came, unit, Flow.Kind.OUT, mass_mg)
        if destroyed:
            destroy(w, came, [(unit, some) for unit, some in some_packs], masses, why, witness, evidence, happened_at)
    w.step_id = first


def parted(unit: PackedUnit, packs: Packs, consignment: int | None) -> list[tuple[int, Packs]]:
    """Return packs by the consignment that they left with."""
    if packs.pack_count < 1:
        raise Refused(_("How many packs came back? At least one."), "packs")
    if packs.first_no is None:
        return [(the_delivery(unit, consignment), packs)]
    found: list[tuple[int, Packs]] = []
    state = series_state(unit)
    for no in range(packs.first_no, packs.first_no + min(packs.pack_count, unit.pack_count + 1)):
        step = consignment_of(unit, no, state.fate_of(no), consignment)
        last = found[-1] if found else None
        if last is not None and last[0] == step:
            found[-1] = (step, Packs(unit.lot.code, last[1].pack_count + 1, last[1].first_no))
        else:
            found.append((step, Packs(unit.lot.code, 1, no)))
    return found


def consignment_of(unit: PackedUnit, pack_no: int, fate: str, consignment: int | None) -> int:
    """Return the consignment that one pack left with, or refuse a pack that has not left."""
    name = {"number": pack_no, "lot": unit.lot}
    if not unit.first_no <= pack_no <= unit.last_no:
        raise Refused(_("Lot %(lot)s has no pack %(number)s.") % name, "packs")
    if fate == PackMove.Fate.DISPATCHED:
        return delivery_of(unit, pack_no) or the_delivery(unit, consignment)
    uncounted = any(one.uncounted for one in deliveries(unit))
    if fate in {PackMove.Fate.DESTROYED, PackMove.Fate.VOID} or not uncounted:
        msg = _("Pack %(number)s of %(lot)s has not left by the book. Write down how it went out first.")
        raise Refused(msg % name, "packs")
    return the_delivery(unit, consignment, uncounted_only=True)


def the_delivery(unit: PackedUnit, consignment: int | None, *, uncounted_only: bool = False) -> int:
    """Return the consignment that packs without numbers came of: the one that was named, else the only one."""
    out = [one.step for one in deliveries(unit) if one.uncounted or not uncounted_only]
    if consignment is not None and consignment in out:
        return consignment
    if consignment is None and len(out) == 1:
        return out[0]
    if not out:
        raise Refused(_("No packs of %(lot)s are out by the book. Write down how they went out first.") % {"lot": unit.lot}, "packs")
    raise Refused(_("Packs of %(lot)s went out with several deliveries. Say which one these are of.") % {"lot": unit.lot}, "consignment")


def refuse_more_than_out(unit: PackedUnit, step: int, count: int) -> None:
    """Refuse more packs than a consignment took."""
    out_count = next((one.out_count for one in deliveries(unit) if one.step == step), 0)
    if count > out_count:
        msg = _("%(count)s packs of %(lot)s would be back, and that delivery has %(out)s. Look at the count and the delivery.")
        raise Refused(msg % {"count": count, "lot": unit.lot, "out": out_count}, "packs")


def returned_mg(sent: int, unit: PackedUnit, packs: Sequence[tuple[PackedUnit, Packs]]) -> int:
    """Return the mass that comes back into the book: the packs' share of what their consignment drew."""
    mass_mg, sent_count = mass_out_mg(sent, unit)
    count = sum(some.pack_count for other, some in packs if other.pk == unit.pk)
    return round(mass_mg * count / sent_count) if sent_count else 0


def line(w: Writing, step: Step, unit: PackedUnit, kind: Flow.Kind, mass_mg: int) -> None:
    """Add one line of packs that come back into the book, or leave it for good."""
    wet = taken_over(opening_flow(unit.lot))
    if kind is Flow.Kind.LOST:
        w.flow(step=step, kind=kind, role=DESTROYED, lot=None, mass_mg=mass_mg, reading_count=0, **wet)
    else:
        role = "packs" if kind is Flow.Kind.IN else unit.lot.material
        w.flow(step=step, kind=kind, role=role, lot=unit.lot, mass_mg=mass_mg, reading_count=0, **wet)


@act("returning.settle")
def settle(
    w: Writing, *, returned: int, fate: str, why: str, witness: str = "", evidence: str = "", happened_at: dt.datetime | None = None
) -> None:
    """Say what becomes of packs that came back: in stock again by the word of quality, or destroyed."""
    row = PackReturn.objects.select_related("step").filter(pk=returned).first()
    if row is None:
        raise Refused(_("There is no return number %(number)s.") % {"number": returned}, "returned")
    if ReturnFate.objects.filter(~taken_back("step"), returned=row.step).exists():
        raise Refused(_("What becomes of these packs was said before."), "returned")
    if not why.strip():
        raise Refused(_("Say on what ground: who looked at the packs, what was found."), "why")
    moves = list(PackMove.objects.filter(step=row.step, fate=PackMove.Fate.RETURNED).select_related("unit__lot").order_by("pk"))
    packs = [(one.unit, Packs(one.unit.lot.code, one.pack_count, one.first_no)) for one in moves]
    if fate == ReturnFate.Fate.DESTROYED:
        masses = {
            unit: sum(Flow.objects.filter(step=row.step, lot=unit.lot_id, kind=Flow.Kind.OUT).values_list("mass_mg", flat=True))
            for unit in dict.fromkeys(unit for unit, _some in packs)
        }
        destroy(w, row.step, packs, masses, why, witness, evidence, happened_at)
        return
    step = w.step("returning", "settle", happened_at)
    w.add(ReturnFate(step=step, returned=row.step, fate=fate, why=why.strip(), evidence=evidence.strip()))
    for unit, _some in packs:
        w.touch(unit.lot)


def destroy(
    w: Writing, came: Step, packs: Sequence[tuple[PackedUnit, Packs]], masses: dict[PackedUnit, int], why: str, witness: str,
    evidence: str, happened_at: dt.datetime | None,
) -> None:
    """Destroy packs that came back, before somebody else than who writes it down."""
    if not witness or witness == w.badge:
        raise Refused(_("Who saw it? Packs are destroyed before a witness, not alone."), "witness")
    seen_by = w.in_force(Staff, witness, "staff", "witness")
    step = w.step("returning", "settle", happened_at)
    w.add(ReturnFate(
        step=step, returned=came, fate=ReturnFate.Fate.DESTROYED, why=why.strip(), witness=seen_by, evidence=evidence.strip(),
    ))
    for unit, some in packs:
        move(w, step, unit, some, PackMove.Fate.DESTROYED)
    for unit, mass_mg in masses.items():
        line(w, step, unit, Flow.Kind.IN, mass_mg)
        line(w, step, unit, Flow.Kind.LOST, mass_mg)
