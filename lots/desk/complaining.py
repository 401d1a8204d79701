"""Complaints: taken down as they came, tied to the lot of the pack."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.release import ComplaintForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code, lot_of, told
from lots.desk.words import joined
from lots.dossier.lab_words import complaint_words
from lots.models import Complaint
from lots.read.complaints import complaints_of
from lots.read.names import lot_name
from lots.read.recent import Recent, recent
from lots.record import complaining
from lots.record.acts import Act, Receipt


class ComplaintView(ActView):
    """Take a complaint."""

    form_class = ComplaintForm
    template_name = "desk/complaining.html"
    page = "release-complaint"
    door = "release"

    def write(self, act: Act, form: ComplaintForm) -> Receipt:
        """Write the complaint down; the code of a pack is kept beside its lot."""
        facts = form.cleaned_data
        scanned = facts["lot"]
        return complaining.take(
            act, lot=lot_code(scanned), pack_code=scanned.code if scanned.kind == "pack" else "", received_on=facts["received_on"],
            what=facts["what"], seriousness=facts["seriousness"], contact=facts["contact"], done=facts["done"],
            happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: ComplaintForm) -> str:
        """Return the complaint, and how many speak of this lot by now."""
        row = Complaint.objects.select_related("lot__step").get(pk=receipt.step)
        count = sum(1 for other in complaints_of([row.lot]) if other.lot_id == row.lot_id)
        more = _("%(count)d complaints speak of this lot by now. Look at them together.") % {"count": count} if count > 1 else ""
        return joined([_("Complaint about lot %(lot)s.") % {"lot": lot_name(row.lot).name}, more])

    def so_far(self, _form: ComplaintForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is, and what was said of it before."""
        lot = lot_of(facts.get("lot"))
        before = [complaint_words(row) for row in complaints_of([lot])] if lot else []
        return {"reads": {"lot": told(facts.get("lot"))}, "say": joined([_("Said of it before:"), *before]) if before else ""}

    def context(self) -> dict[str, Any]:
        """Return the last complaints."""
        steps = recent("complaining", ("take",))
        rows = Complaint.objects.select_related("lot").in_bulk([step.step for step in steps])
        return {"recorded": [complaint_line(step, rows[step.step]) for step in steps]}


def complaint_line(step: Recent, row: Complaint) -> Line:
    """Return one complaint as an entry."""
    return step_line(step, _("%(lot)s.") % {"lot": lot_name(row.lot).name}, complaint_words(row))
