"""Corrections add, never change: signed lines to an earlier step, or a step taken back whole."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping

from django.db.models import Q, Sum
from django.utils.translation import gettext as _

from lots.models import Flow, Lot, PackedUnit, PackMove, Step, Stock
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.words import kg
from lots.record.writing import Writing


@act("correcting.adjust")
def adjust(
    w: Writing, *, step: int, masses_mg: Mapping[int, int], happened_at: dt.datetime | None = None
) -> None:
    """Correct weighings of an earlier step: ``masses_mg`` gives the right mass by line number. The reason is the act's."""
    target = correctable(step)
    if not w.reason.strip():
        raise Refused(_("Say why the figure is corrected: which ticket, who read it."), "reason")
    new = w.step("correcting", "adjust", happened_at, corrects=target, equipment=target.equipment)
    stand = standing_lines(target)
    for number, mass_mg in masses_mg.items():
        if number not in stand:
            raise Refused(_("Line %(line)s does not belong to this step.") % {"line": number}, "masses_mg")
        line, now_mg = stand[number]
        if line.kind == Flow.Kind.DIFFERENCE:
            raise Refused(_("A difference is not corrected: count the lot again, or take the count back."), "masses_mg")
        if mass_mg < 0:
            raise Refused(_("A weighing cannot be below nothing."), "masses_mg")
        if mass_mg != now_mg:
            add_line(w, new, line, mass_mg - now_mg)
    if not w.rows_of(Flow):
        raise Refused(_("Nothing is different from what stands in the book."), "masses_mg")
    mark_below_nothing(w)


def mark_below_nothing(w: Writing) -> None:
    """Mark a correction after which more was taken from a lot than there was. Its reason was given, so it is not asked."""
    moved: dict[Lot, int] = defaultdict(int)
    for flow in w.rows_of(Flow):
        if flow.lot is not None:
            moved[flow.lot] += -flow.mass_mg if flow.kind == Flow.Kind.IN else flow.mass_mg
    for lot, change_mg in moved.items():
        left_mg = Stock.objects.get(lot=lot).book_mg + change_mg
        if left_mg < 0:
            msg = _("Lot %(lot)s has %(left)s kg in the book after this. Look at what was taken from it.")
            w.question(msg % {"lot": lot, "left": kg(left_mg)}, "masses_mg")


@act("correcting.reverse")
def reverse(w: Writing, *, step: int, happened_at: dt.datetime | None = None) -> None:
    """Take back a step that did not happen, while nobody has used what it made. The reason is the act's."""
    target = correctable(step)
    if not w.reason.strip():
        raise Refused(_("Say why it did not happen."), "reason")
    refuse_used(target)
    new = w.step("correcting", "reverse", happened_at, corrects=target, equipment=target.equipment)
    for line, now_mg in standing_lines(target).values():
        if now_mg:
            add_line(w, new, line, -now_mg)
    for unit in PackedUnit.objects.filter(step=target):
        w.add(PackMove(
            step=new, unit=unit, fate=PackMove.Fate.VOID, pack_count=unit.pack_count, first_no=unit.first_no, last_no=unit.last_no
        ))
    put_packs_back(w, new, target)


def put_packs_back(w: Writing, new: Step, target: Step) -> None:
    """Put packs back that a step took away: sent and given ones as returned, used and destroyed ones as here again."""
    for move in PackMove.objects.filter(step=target, fate__in=(PackMove.Fate.DISPATCHED, PackMove.Fate.GIVEN)):
        w.add(PackMove(
            step=new, unit=move.unit, fate=PackMove.Fate.RETURNED, pack_count=move.pack_count, first_no=move.first_no,
            last_no=move.last_no,
        ))
    for move in PackMove.objects.filter(step=target, fate__in=(PackMove.Fate.DESTROYED, PackMove.Fate.OWN_USE)):
        w.add(PackMove(
            step=new, unit=move.unit, fate=PackMove.Fate.RESTORED, pack_count=move.pack_count, first_no=move.first_no, last_no=move.last_no,
        ))


def correctable(number: int) -> Step:
    """Return a step that may be corrected: not a correction itself, not taken back before."""
    step = Step.objects.select_related("equipment").filter(pk=number).first()
    if step is None:
        raise Refused(_("There is no step %(step)s in the book.") % {"step": number}, "step")
    if step.stage == "returning":
        raise Refused(_("A return is not corrected. Write what became of the packs, or send them out again."), "step")
    if step.stage == "releasing":
        raise Refused(_("A decision on a lot is not taken back. Decide again: the last word counts."), "step")
    if step.stage == "correcting":
        raise Refused(_("A correction is not corrected itself: correct the step that it speaks of."), "step")
    if step.corrected_by.filter(part="reverse").exists():
        raise Refused(_("This step was taken back before. It did not happen."), "step")
    return step


def standing_lines(step: Step) -> dict[int, tuple[Flow, int]]:
    """Return each line of a step with the mass that stands after its corrections."""
    later = list(Flow.objects.filter(step__corrects=step))
    return {
        f.pk: (f, f.mass_mg + sum(c.mass_mg for c in later if (c.kind, c.role, c.lot_id) == (f.kind, f.role, f.lot_id)))
        for f in step.flows.select_related("lot", "scale")
    }


def add_line(w: Writing, step: Step, line: Flow, mass_mg: int) -> None:
    """Add the signed line that corrects another: same side, role, lot and moisture; no reading of its own."""
    w.flow(
        step=step, kind=line.kind, role=line.role, lot=line.lot, mass_mg=mass_mg, reading_count=0, scale=line.scale,
        moisture_frac=line.moisture_frac, u_moisture_frac=line.u_moisture_frac, moisture_how=line.moisture_how, sample=line.sample,
    )


def refuse_used(step: Step) -> None:
    """Refuse to take back a step whose lots somebody used, or that a run goes on from."""
    used = (
        Flow.objects.filter(lot__step=step)
        .exclude(step=step)
        .filter(Q(kind=Flow.Kind.IN) | Q(kind=Flow.Kind.DIFFERENCE))
        .values("lot__code", "lot__maker_ref", "kind")
        .annotate(net=Sum("mass_mg"))
        .exclude(net=0)
        .order_by("lot__code")
        .first()
    )
    if used:
        name = used["lot__maker_ref"] or used["lot__code"]
        msg = _("Lot %(lot)s of this step was used already. Take back what was done with it first, or correct the figures.")
        raise Refused(msg % {"lot": name}, "step")
    if step.returns.exists():
        raise Refused(_("Packs of this consignment came back since. It did happen."), "step")
    on = Step.objects.filter(continues=step).exclude(corrected_by__part="reverse").exists()
    if on:
        raise Refused(_("The run goes on after this step. Take back its later steps first."), "step")
