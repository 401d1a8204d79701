"""What a release has to stand on, and what may not go out before it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from lots.models import Hold, LabResult, Lot, PackedUnit, Party
from lots.quality.limits import Answer, folded
from lots.read.holding import holds_on_lot
from lots.read.limits import compared, limits_on
from lots.read.lot_life import badges_of
from lots.read.releases import EVERY_MARKET, is_released, rules_before_dispatch, rules_for
from lots.read.results import is_by_result
from lots.record.errors import Refused
from lots.record.writing import Writing


def refuse_other_results(rows: Sequence[LabResult], named: Sequence[int]) -> None:
    """Refuse a decision that leaves a result out, or was made before one came in."""
    if {row.pk for row in rows} != set(named):
        raise Refused(_("A result came in, or was taken back, since this page was opened. Look at the results again."))


def ends_with(lot: Lot) -> list[Hold]:
    """Return the holds on a lot that a decision ends; refuse where another one stands, on it or on what it was made of."""
    ending = []
    for told in holds_on_lot(lot):
        hold = Hold.objects.select_related("lot", "entry").get(pk=told.id)
        if hold.kind == Hold.Kind.HOLD and hold.lot_id == lot.pk and is_by_result(hold):
            ending.append(hold)
            continue
        msg = _("Lot %(lot)s cannot be released: lot %(stopped)s is stopped (%(reason)s). That stop ends first, on its own ground.")
        raise Refused(msg % {"lot": lot, "stopped": told.lot, "reason": told.reason.rstrip(".")})
    return ending


def refuse_over(w: Writing, lot: Lot, markets: Sequence[str], rows: Sequence[LabResult], day: dt.date) -> None:
    """Refuse a release for a market whose limit a result is over; one that a later result of the same lot sets aside is asked about."""
    limits = limits_on(day, markets)
    answers = [(row, one) for row in rows for one in compared(row, limits, day)]
    for row, one in answers:
        if not one.stops:
            continue
        later = next((
            other for other, its in answers if other.pk > row.pk and its.limit == one.limit and its.found.answer is Answer.WITHIN
            and other.lot_id == row.lot_id and folded(other.parameter) == folded(row.parameter)
        ), None)
        words = {"lot": lot, "parameter": row.parameter, "found": f"{row.value or '<' + row.loq} {row.unit}", "market": one.limit.market}
        if later is None:
            msg = _("Lot %(lot)s cannot be released for %(market)s: %(parameter)s is %(found)s, over its limit.")
            raise Refused(msg % words, "markets")
        msg = _("%(parameter)s was %(found)s, over the limit of %(market)s; a later result is within. Say why the later one counts.")
        w.question(msg % words, "markets")


def refuse_own_results(w: Writing, markets: Sequence[str], rows: Sequence[LabResult]) -> None:
    """Refuse a release by the person who alone recorded its results, where the house asks for another."""
    if not rows or not any(rule.others_results for rule in rules_for(markets)):
        return
    if set(badges_of(row.step.entry_id for row in rows).values()) == {w.badge}:
        raise Refused(_("Badge %(badge)s recorded every result of this lot. Somebody else decides on it.") % {"badge": w.badge})


def refuse_unreleased(units: Iterable[PackedUnit], party: Party) -> None:
    """Refuse packs that are not released, where the house promises that nothing goes to this party before."""
    rules = rules_before_dispatch(party)
    for unit in {unit.pk: unit for unit in units}.values() if rules else ():
        for rule in rules:
            if is_released(unit, rule.code):
                continue
            whom = _("any market") if rule.code == EVERY_MARKET else rule.code
            msg = _("%(packs)s cannot go out: they are not released for %(market)s. The quality lead decides under Tests and release.")
            raise Refused(msg % {"packs": unit.lot, "market": whom}, "packs")
