"""Cases, orders and returns in one sentence each, for the lists of what was written."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Sum
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.words import printed
from lots.models import CaseOpening, OrderCancel, PackMove, ReturnFate, SalesCase, SalesOrder
from lots.read.recent import Recent
from lots.trade.units import number_text

STAGES = frozenset({"casing", "ordering", "returning"})


def packs_text(count: int) -> str:
    """Return a count of packs."""
    return ngettext("%(count)s pack", "%(count)s packs", count) % {"count": number_text(count, 0)}


def sale_sentences(steps: Sequence[Recent]) -> dict[int, str]:
    """Return what happened in those of some steps that are about cases, orders or returns."""
    ids = [step.step for step in steps if step.stage in STAGES]
    return {**case_sentences(ids), **order_sentences(ids), **return_sentences(ids)} if ids else {}


def case_sentences(ids: Sequence[int]) -> dict[int, str]:
    """Return which cases were closed or opened again."""
    closed = SalesCase.objects.filter(pk__in=ids).select_related("unit__lot")
    found = {row.pk: _("Case %(case)s is closed: %(packs)s of %(lot)s.") % {
        "case": printed(row.code), "packs": packs_text(row.pack_count), "lot": row.unit.lot} for row in closed}
    opened = CaseOpening.objects.filter(pk__in=ids).values_list("pk", "case__salescase__code")
    return found | {pk: _("Case %(case)s is open: what was in it stands alone again.") % {"case": printed(code)} for pk, code in opened}


def order_sentences(ids: Sequence[int]) -> dict[int, str]:
    """Return which orders were taken or cancelled."""
    taken = SalesOrder.objects.filter(pk__in=ids).annotate(asked=Sum("step__order_lines__pack_count"))
    found = {row.pk: _("Order %(order)s: %(packs)s for %(who)s.") % {
        "order": printed(row.code), "packs": packs_text(row.asked), "who": row.ship_to.code} for row in taken.select_related("ship_to")}
    ended = OrderCancel.objects.filter(pk__in=ids).values_list("pk", "order__salesorder__code")
    return found | {pk: _("Order %(order)s is cancelled.") % {"order": printed(code)} for pk, code in ended}


def return_sentences(ids: Sequence[int]) -> dict[int, str]:
    """Return which packs came back, and what became of them."""
    back = PackMove.objects.filter(step__in=ids, fate=PackMove.Fate.RETURNED).values_list("step_id").annotate(count=Sum("pack_count"))
    found = {step: _("%(packs)s came back and wait for quality.") % {"packs": packs_text(count)} for step, count in back.order_by()}
    for pk, fate in ReturnFate.objects.filter(pk__in=ids).values_list("pk", "fate"):
        found[pk] = _("They were destroyed.") if fate == ReturnFate.Fate.DESTROYED else _("They are in stock again.")
    return found
