"""Cases: packs of one series, or smaller cases of it, are closed in under one code; opening again is an act of its own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.codes.errors import CodeError
from lots.codes.lots import new_lot_code, print_form
from lots.codes.sale import CASE_LETTER
from lots.models import CaseOpening, CasePart, ConsignedCase, SalesCase, SalesUnit, Step
from lots.read.cases import case_named, cases_here, outer_of, packs_held
from lots.record.acts import act
from lots.record.case_checks import Filled, by_count, by_scan
from lots.record.errors import Refused
from lots.record.leaving import Packs
from lots.record.writing import Writing


@act("casing.close")
def close(
    w: Writing, *, sales_unit: str, scanned: Sequence[str] = (), counted: Packs | None = None, happened_at: dt.datetime | None = None
) -> None:
    """Close a case: by the codes of its packs (or of the smaller cases in it), or by count from one series."""
    kind = w.in_force(SalesUnit, sales_unit, "sales units", "sales_unit")
    step = w.step("casing", "close", happened_at)
    filled = by_scan(kind, scanned) if scanned else by_count(kind, counted)
    ask_about_count(w, kind, filled)
    for part in filled.parts:
        w.add(CasePart(step=step, unit=filled.unit, **part))
    code = new_code(w, CASE_LETTER, step)
    w.add(SalesCase(step=step, code=code, sales_unit=kind, unit=filled.unit, pack_count=filled.pack_count))
    w.touch(filled.unit.lot)


def ask_about_count(w: Writing, kind: SalesUnit, filled: Filled) -> None:
    """Ask where a case holds other than its kind says: the last one of a lot may be short."""
    whole = packs_held(kind)
    if filled.pack_count != whole:
        msg = _("%(kind)s holds %(whole)s packs and %(count)s are in. Count them again.")
        w.question(msg % {"kind": kind.name, "whole": whole, "count": filled.pack_count}, "scanned")


def new_code(w: Writing, letter: str, step: Step) -> str:
    """Return the next code under a letter of ours."""
    year = timezone.localtime(step.happened_at).year
    try:
        return new_lot_code(letter, year, w.next_id(f"{letter}{year}"))
    except CodeError as fault:
        raise Refused(str(fault), "happened_at") from fault


@act("casing.open")
def open_again(w: Writing, *, case: str, why: str, happened_at: dt.datetime | None = None) -> None:
    """Open a case again: what was in it stands alone from then on."""
    found = standing_case(case, "case")
    outer = outer_of(found.step_id)
    if outer is not None:
        msg = _("Case %(case)s lies in case %(outer)s. Open that one first.")
        raise Refused(msg % {"case": print_form(found.code), "outer": print_form(outer.code)}, "case")
    if not why.strip():
        raise Refused(_("Say why case %(case)s is opened again.") % {"case": print_form(found.code)}, "why")
    step = w.step("casing", "open", happened_at)
    w.add(CaseOpening(step=step, case=found.step, why=why.strip()))
    w.touch(found.unit.lot)


def standing_case(code: str, field: str) -> SalesCase:
    """Return a case that is closed and here, or say why there is none."""
    found = case_named(code)
    if found is None:
        raise Refused(_("No case %(code)s was closed here. Scan its label again.") % {"code": code}, field)
    if cases_here().filter(pk=found.pk).exists():
        return found
    gone = ConsignedCase.objects.filter(case=found.step).exclude(step__corrected_by__part="reverse").exists()
    msg = _("Case %(case)s has gone out before.") if gone else _("Case %(case)s was opened again. Scan its packs.")
    raise Refused(msg % {"case": print_form(found.code)}, field)
