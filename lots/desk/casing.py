"""Cases: packs are scanned into a case and closed in under one code; a case is opened again; its label is printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.codes.lots import print_form
from lots.codes.sale import parse_case_code
from lots.desk.forms.many import ScannedLine
from lots.desk.forms.sale import CaseForm, CaseOpenForm
from lots.desk.packing import packs_text
from lots.desk.papers_out import handed_out, not_made, paper_language
from lots.desk.recorded import Line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code
from lots.desk.words import language
from lots.dossier.case_labels import case_sheet
from lots.dossier.faults import PaperFault
from lots.models import SalesCase, SalesUnit
from lots.read.cases import Cased, case_named, cased, cases_here, packs_held
from lots.read.registers import in_force
from lots.record import casing
from lots.record.acts import Act, Receipt
from lots.record.case_checks import Filled, by_count, by_scan
from lots.record.errors import Refused
from lots.record.leaving import Packs

SHOWN_MAX = 12


@dataclass(frozen=True, slots=True)
class CaseScans:
    """What was scanned into a case: codes of packs or smaller cases, or packs of a lot by count."""

    codes: tuple[str, ...]
    counted: Packs | None


def case_scans(lines: Sequence[ScannedLine]) -> CaseScans:
    """Return the lines as the recorder takes them; codes and a count do not go together."""
    counted = [line for line in lines if line.pack_count is not None]
    codes = tuple(line.scanned.code or line.scanned.typed for line in lines if line.pack_count is None)
    if counted and (codes or len(counted) > 1):
        raise Refused(_("A case is filled by scanning every pack, or by one count of one lot: not by both."), "scanned")
    if not counted:
        return CaseScans(codes, None)
    return CaseScans((), Packs(lot_code(counted[0].scanned), counted[0].pack_count or 0, counted[0].first_no))


class CaseView(ActView):
    """Close a case."""

    form_class = CaseForm
    template_name = "desk/casing.html"
    page = "packing-case"
    door = "packing"
    line_of = MappingProxyType({"packs": "scanned"})

    def options(self) -> dict[str, Any]:
        """Return the kinds of case by name."""
        return {"kinds": [(unit.code, unit_name(unit)) for unit in in_force(SalesUnit)]}

    def linked(self) -> dict[str, str]:
        """The kind of the last case is the likely kind of the next."""
        last = SalesCase.objects.select_related("sales_unit").order_by("-pk").first()
        kinds = [unit.code for unit in in_force(SalesUnit)]
        likely = last.sales_unit.code if last else kinds[0] if len(kinds) == 1 else ""
        return {**({"sales_unit": likely} if likely else {}), **super().linked()}

    def write(self, act: Act, form: CaseForm) -> Receipt:
        """Close it."""
        facts = form.cleaned_data
        scans = case_scans(facts["scanned"])
        return casing.close(
            act, sales_unit=facts["sales_unit"], scanned=scans.codes, counted=scans.counted, happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: CaseForm) -> str:
        """Return the read-back: the code that goes onto the case."""
        case = SalesCase.objects.select_related("unit__lot").get(step=receipt.step)
        return _("Case %(case)s is closed: %(packs)s of %(lot)s.") % {
            "case": print_form(case.code), "packs": packs_text(case.pack_count), "lot": case.unit.lot,
        }

    def so_far(self, _form: CaseForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say how full the case is; what does not belong in it has a cross and a sentence."""
        lines, code = facts.get("scanned") or (), facts.get("sales_unit") or ""
        kind = next((unit for unit in in_force(SalesUnit) if unit.code == code), None)
        if not lines or kind is None:
            return {}
        try:
            filled = filling(kind, lines)
        except Refused as answer:
            return {"wrong": answer.sentence}
        words = {"count": filled.pack_count, "whole": packs_held(kind), "lot": filled.unit.lot}
        return {"say": _("%(count)s of %(whole)s packs, all of lot %(lot)s.") % words}

    def context(self) -> dict[str, Any]:
        """Return the cases that are here."""
        return {"cases": [case_line(one) for one in reversed(cased(cases_here())[-SHOWN_MAX:])]}


def filling(kind: SalesUnit, lines: Sequence[ScannedLine]) -> Filled:
    """Return what a case would hold, or refuse."""
    scans = case_scans(lines)
    return by_scan(kind, scans.codes) if scans.codes else by_count(kind, scans.counted)


def unit_name(unit: SalesUnit) -> str:
    """Return the name of a sales unit in the language of the page."""
    return (language() == "ja" and unit.name_ja) or unit.name


def case_line(one: Cased) -> Line:
    """Return a case that is here, with the way to its label."""
    kind = (language() == "ja" and one.kind_ja) or one.kind
    what = _("%(case)s, %(kind)s.") % {"case": one.name, "kind": kind}
    sentence = _("%(packs)s of %(lot)s.") % {"packs": packs_text(one.pack_count), "lot": one.lot}
    return Line(one.closed_at, what, sentence, reverse("packing-case-file", args=[one.code]), _("Print its label"))


class CaseOpenView(ActView):
    """Open a case again."""

    form_class = CaseOpenForm
    template_name = "desk/act.html"
    page = "packing-case-open"
    door = "packing-case"

    def write(self, act: Act, form: CaseOpenForm) -> Receipt:
        """Open it."""
        facts = form.cleaned_data
        return casing.open_again(act, case=facts["case"].code, why=facts["why"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, form: CaseOpenForm) -> str:
        """Return what was opened."""
        return _("Case %(case)s is open: what was in it stands alone again.") % {"case": print_form(form.cleaned_data["case"].code)}

    def so_far(self, _form: CaseOpenForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what lies in the case."""
        case = case_named(facts["case"].code) if facts.get("case") else None
        if case is None:
            return {}
        words = {"packs": packs_text(case.pack_count), "lot": case.unit.lot}
        return {"reads": {"case": _("%(packs)s of %(lot)s.") % words}}

    def context(self) -> dict[str, Any]:
        """Return title and lead."""
        return {"title": _("Open a case again"), "lead": _("What was in it stands alone again. A case that has gone stays closed.")}


@require_safe
def case_label(request: HttpRequest, code: str) -> HttpResponse:
    """Return the label of a case as PDF: ``?language=ja``."""
    case = case_named(code) if parse_case_code(code) else None
    if case is None:
        raise Http404
    try:
        with translation.override(paper_language(request.GET)):
            return handed_out(case_sheet(cased(SalesCase.objects.filter(pk=case.pk))), f"label-{case.code}.pdf")
    except PaperFault as fault:
        return not_made(request, fault)
