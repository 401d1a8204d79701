"""A lot is released for some markets, or not: on which results, against which limits of the day, by whom, and by whom besides."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import DecisionGround, Hold, LabResult, Lot, LotDecision, Step
from lots.read.limits import compared, limits_on, not_tested
from lots.read.releases import decisions_of, rules_for
from lots.read.results import results_of
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.release_checks import ends_with, refuse_other_results, refuse_over, refuse_own_results
from lots.record.writing import Writing

NOT_TESTED_SIGNS_MAX, REASON_SIGNS_MAX, MARKETS_SIGNS_MAX = 1000, 400, 200


@act("releasing.release")
def release(
    w: Writing, *, lot: str, markets: Sequence[str], ground: str, results: Sequence[int], happened_at: dt.datetime | None = None
) -> None:
    """Release a lot for some markets. ``results`` are those that the person saw; none may be left out."""
    found = find_lot(lot)
    rows = results_of(found)
    must_say(markets, ground)
    refuse_other_results(rows, results)
    step = w.step("releasing", "release", happened_at)
    day = timezone.localtime(w.happened_at).date()
    ending = ends_with(found)
    refuse_own_results(w, markets, rows)
    refuse_over(w, found, markets, rows, day)
    if not rows:
        w.question(_("Lot %(lot)s has no result of a laboratory. Is it released untested?") % {"lot": found}, "ground")
    needs_second = any(rule.two_persons for rule in rules_for(markets))
    decide(w, step, found, markets, ground, rows, needs_second=needs_second)
    if not needs_second:
        end_holds(w, ending, ground)


@act("releasing.refuse")
def refuse(
    w: Writing, *, lot: str, ground: str, results: Sequence[int], markets: Sequence[str] = (), happened_at: dt.datetime | None = None
) -> None:
    """Refuse a lot: it is stopped by this word until a later decision releases it."""
    found = find_lot(lot)
    rows = results_of(found)
    must_say(markets or ("",), ground)
    refuse_other_results(rows, results)
    step = w.step("releasing", "refuse", happened_at)
    decide(w, step, found, markets, ground, rows, needs_second=False)
    reason = _("Not released: %(ground)s") % {"ground": ground.strip()}
    w.add(Hold(lot=found, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason[:REASON_SIGNS_MAX]))


@act("releasing.confirm")
def confirm(w: Writing, *, decision: int, ground: str = "", happened_at: dt.datetime | None = None) -> None:
    """Confirm a release as the second person; only then it counts, and ends what the results had stopped."""
    first = LotDecision.objects.select_related("step", "lot").filter(pk=decision, step__part="release").first()
    told = next((d for d in decisions_of([first.lot_id]) if d.row.pk == decision), None) if first else None
    if first is None or told is None:
        raise Refused(_("There is no release %(number)s that waits for a second person.") % {"number": decision})
    if told.second or not first.needs_second:
        raise Refused(_("The release of lot %(lot)s stands already.") % {"lot": first.lot})
    if told.badge == w.badge:
        raise Refused(_("Badge %(badge)s decided first. The second person is another one.") % {"badge": w.badge})
    rows = results_of(first.lot)
    if {row.pk for row in rows} != {ground.result_id for ground in told.grounds}:
        raise Refused(_("A result came in, or was taken back, since lot %(lot)s was decided on. Decide again.") % {"lot": first.lot})
    step = w.step("releasing", "confirm", happened_at)
    ending = ends_with(first.lot)
    w.touch(first.lot)
    w.add(LotDecision(step=step, lot=first.lot, markets=first.markets, ground=ground.strip() or first.ground, confirms=first.step))
    end_holds(w, ending, first.ground)


def must_say(markets: Sequence[str], ground: str) -> None:
    """Refuse a decision without market or ground."""
    if not markets or len("; ".join(markets)) > MARKETS_SIGNS_MAX:
        raise Refused(_("For which market? Choose at least one."), "markets")
    if not ground.strip():
        raise Refused(_("Say on what ground: which results, which assessment."), "ground")


def decide(
    w: Writing, step: Step, lot: Lot, markets: Sequence[str], ground: str, rows: Sequence[LabResult], *, needs_second: bool
) -> None:
    """Write a decision with every result that it stands on, the limit versions, the answers, and what nobody tested."""
    day = timezone.localtime(w.happened_at).date()
    limits = limits_on(day, markets) if any(markets) else limits_on(day)
    open_ones = _("; ").join(not_tested(rows, limits))
    w.touch(lot)
    w.add(LotDecision(
        step=step, lot=lot, markets="; ".join(markets), ground=ground.strip(), not_tested=open_ones[:NOT_TESTED_SIGNS_MAX],
        needs_second=needs_second,
    ))
    for row in rows:
        answers = compared(row, limits, day)
        for one in answers:
            w.add(DecisionGround(step=step, result=row.step, limit=one.limit, answer=one.found.answer.value, doubt=one.found.doubt.value))
        if not answers:
            w.add(DecisionGround(step=step, result=row.step))


def end_holds(w: Writing, ending: Sequence[Hold], ground: str) -> None:
    """End what the results had stopped, in the act that names them."""
    for hold in ending:
        reason = _("Released by decision: %(ground)s") % {"ground": ground.strip()}
        w.add(Hold(lot=hold.lot, kind=Hold.Kind.RELEASE, happened_at=w.happened_at, reason=reason[:REASON_SIGNS_MAX], ends=hold))
