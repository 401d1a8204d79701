"""Taken out of stock and not sold: spilt, used in the house, given away, destroyed; or lowered in state or grade. Samples for a
laboratory are `sampling`, kept samples `keeping`."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.balance.period import STATES
from lots.models import DriedLeafLot, Flow, Hold, Lot, PackedUnit, PackMove, Removal, Staff, Step
from lots.read.downgrades import state_of
from lots.read.holding import holds_on_lot
from lots.read.loose import loose
from lots.read.origins import origins_of
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.leaving import Packs, draw_share, going_out, move, refuse_not_here
from lots.record.lines import Lines, Weight, find_lot
from lots.record.words import hold_word, state_word
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Taken:
    """What is taken: a lot with its weighing (None: all of it), or packs by count or from their first number on."""

    lot: str
    mass: Weight | None = None
    pack_count: int = 0
    first_no: int | None = None


@act("removing.spill")
def spill(w: Writing, *, taken: Taken, why: str = "", happened_at: dt.datetime | None = None) -> None:
    """Record tea that was spilt, when it is found."""
    step = w.step("removing", "spill", happened_at)
    lot, count = take_out(w, step, taken, "spill", PackMove.Fate.DESTROYED)
    w.add(Removal(step=step, lot=lot, pack_count=count, why=why.strip()))


@act("removing.own_use")
def own_use(w: Writing, *, taken: Taken, why: str, happened_at: dt.datetime | None = None) -> None:
    """Record tea that the house used itself: tasted, shown, drunk."""
    step = w.step("removing", "own_use", happened_at)
    refuse_stopped(find_lot(taken.lot))
    lot, count = take_out(w, step, taken, "own_use", PackMove.Fate.OWN_USE)
    w.add(Removal(step=step, lot=lot, pack_count=count, why=said(why, _("Say what it was used for."), "why")))


@act("removing.gift")
def gift(
    w: Writing, *, taken: Taken, recipient: str, contact: str = "", why: str = "", happened_at: dt.datetime | None = None,
) -> None:
    """Record tea that was given away, and to whom, so that a recall reaches it."""
    step = w.step("removing", "gift", happened_at)
    refuse_stopped(find_lot(taken.lot))
    lot, count = take_out(w, step, taken, "gift", PackMove.Fate.GIVEN)
    name = said(recipient, _("Say who has it now, so that it can be called back."), "recipient")
    w.add(Removal(
        step=step, lot=lot, pack_count=count, why=why.strip(), recipient=w.seal(name), recipient_contact=w.seal(contact.strip()),
    ))


@act("removing.destroy")
def destroy(
    w: Writing, *, taken: Taken, how: str, witness: str, why: str = "", evidence: str = "", happened_at: dt.datetime | None = None,
) -> None:
    """Record tea that was destroyed before a witness, who is another person than the one who records it.

    Of tea that is fetched back the evidence is named: picture, ticket, paper of the incinerator.
    """
    step = w.step("removing", "destroy", happened_at)
    found = find_lot(taken.lot)
    seen_by = w.in_force(Staff, witness, "staff", "witness") if witness else None
    if seen_by is None or seen_by.code == w.badge:
        raise Refused(_("Who saw it? Tea is destroyed before a witness, who is another person than the one who writes it down."), "witness")
    if not evidence.strip() and any(hold.kind == Hold.Kind.RECALL for hold in holds_on_lot(found)):
        msg = _("Lot %(lot)s is fetched back: name the evidence of its destruction, such as a picture or a paper.")
        raise Refused(msg % {"lot": found}, "evidence")
    lot, count = take_out(w, step, taken, "destroyed", PackMove.Fate.DESTROYED)
    w.add(Removal(
        step=step, lot=lot, pack_count=count, why=why.strip(), how=said(how, _("Say how it was destroyed."), "how"),
        evidence=evidence.strip(), witness=seen_by,
    ))


@act("removing.downgrade")
def downgrade(
    w: Writing, *, taken: Taken, why: str, state: str = "", grade: str = "", happened_at: dt.datetime | None = None, maker_ref: str = "",
) -> None:
    """Record leaf or powder that is lowered in state or in grade: from then on it is a lot of its own, with a label of its own."""
    step = w.step("removing", "downgrade", happened_at)
    lot = find_lot(taken.lot)
    if PackedUnit.objects.filter(lot=lot).exists():
        msg = _("%(lot)s are packs and bear a label. Hold them, or pack their tea again under another label.")
        raise Refused(msg % {"lot": lot}, "lot")
    before = state_of(lot.step_id, [origin.state for origin in origins_of([lot.step_id]).get(lot.step_id, ())])
    if not state and not grade.strip():
        raise Refused(_("Lowered to what? Choose the state, or write the grade."), "state")
    if state and STATES.index(state) <= STATES.index(before):
        words = {"lot": lot, "state": state_word(before), "asked": state_word(state)}
        raise Refused(_("Lot %(lot)s is %(state)s already; %(asked)s is not lower.") % words, "state")
    drawn = Lines(w, step).draw(lot, taken.mass)
    made = w.lot(step, lot.material, drawn.mass_mg, maker_ref)
    same_again(w, drawn, Flow.Kind.OUT, lot.material, made)
    if lot.material == "refined_leaf":
        w.add(DriedLeafLot(lot=made, grade=grade.strip(), shelf=""))
    w.add(Removal(
        step=step, lot=lot, why=said(why, _("Say why it is lowered."), "why"), state_before=before, state=state, grade=grade.strip(),
    ))


def said(words: str, sentence: str, field: str) -> str:
    """Return what was said, or ask for it."""
    if not words.strip():
        raise Refused(sentence, field)
    return words.strip()


def take_out(w: Writing, step: Step, taken: Taken, role: str, fate: PackMove.Fate) -> tuple[Lot, int]:
    """Take mass or packs out of a lot and book them as lost under a name: they are in exactly one place."""
    lot = find_lot(taken.lot)
    unit = PackedUnit.objects.select_related("lot", "product").filter(lot=lot).first()
    lines = Lines(w, step)
    if unit is None:
        drawn = lines.draw(lot, taken.mass)
        same_again(w, drawn, Flow.Kind.LOST, role, None)
        return lot, 0
    if unit.retained:
        raise Refused(_("%(lot)s are kept samples: their disposal is written under Kept samples.") % {"lot": lot}, "lot")
    packs = Packs(lot.code, taken.pack_count, taken.first_no)
    refuse_not_here(unit, loose(unit, going_out(w, unit)), packs)
    move(w, step, unit, packs, fate)
    draw_share(w, lines, unit)
    same_again(w, w.rows_of(Flow)[-1], Flow.Kind.LOST, role, None)
    return lot, taken.pack_count


def same_again(w: Writing, drawn: Flow, kind: Flow.Kind, role: str, lot: Lot | None) -> None:
    """Add the line that says where the mass of a draw went: the same reading once more."""
    w.flow(
        step=drawn.step, kind=kind, role=role, lot=lot, mass_mg=drawn.mass_mg, reading_count=drawn.reading_count, scale=drawn.scale,
        moisture_frac=drawn.moisture_frac, u_moisture_frac=drawn.u_moisture_frac, moisture_how=drawn.moisture_how, sample=drawn.sample,
    )


def refuse_stopped(lot: Lot) -> None:
    """Refuse to use or give away what is stopped: it may be spilt, and it may be destroyed."""
    for hold in holds_on_lot(lot):
        msg = _("Lot %(lot)s is stopped by a %(hold)s (%(reason)s): it is not used and not given away.")
        raise Refused(msg % {"lot": lot, "hold": hold_word(hold.kind), "reason": hold.reason}, "lot")
