"""Treatment: what was put on a plot, and from which day it may be plucked."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _

from lots.desk.field_words import neighbour_words, notice_words
from lots.desk.forms.field import NoticeForm, TreatmentForm
from lots.desk.forms.plain import Answers
from lots.desk.forms.registers import choices_of
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import code_in
from lots.desk.shading import FieldView, start_of
from lots.desk.words import language
from lots.models import FieldPlot, FieldTreatment, Hold, NeighbourNotice, PlotNeighbour, Staff
from lots.read.names import lot_name
from lots.read.persons import badge_of
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import treatment
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text


class TreatmentView(FieldView):
    """A treatment or fertiliser."""

    form_class = TreatmentForm
    template_name = "desk/field_treatment.html"
    page = "field-treatment"
    day = "applied_on"

    def options(self) -> dict[str, Any]:
        """Return the badges; the own one stands chosen."""
        return {"operators": Answers(choices_of(list(in_force(Staff))), badge_of(self.request.user.get_username()))}

    def write(self, act: Act, form: TreatmentForm) -> Receipt:
        """Write the treatment down."""
        facts = form.cleaned_data
        return treatment.apply(
            act, plot=code_in(FieldPlot, facts["plot"]), applied_on=facts["applied_on"], product=facts["product"],
            substance=facts["substance"], dose=facts["dose"], interval_days=facts["interval_days"],
            kind=facts["kind"] or FieldTreatment.Kind.PESTICIDE, water_l_per_10_a=facts["water_l_per_10_a"],
            uses_most_count=facts["uses_most_count"], batch=facts["batch"], operator=facts.get("operator") or "",
            happened_at=start_of(facts["applied_on"]),
        )

    def said(self, _receipt: Receipt, form: TreatmentForm) -> str:
        """Return from which day the plot may be plucked."""
        facts = form.cleaned_data
        first = facts["applied_on"] + dt.timedelta(days=facts["interval_days"])
        return _("%(product)s on plot %(plot)s: it may be plucked from %(day)s.") % {
            "product": facts["product"], "plot": code_in(FieldPlot, facts["plot"]), "day": date_text(first, language()),
        }

    def more(self, receipt: Receipt, _form: TreatmentForm) -> str:
        """Say which lots are held, where leaf had been plucked too early."""
        held = Hold.objects.filter(entry=receipt.seq).select_related("lot").order_by("pk")
        names = _(", ").join(lot_name(row.lot).name for row in held)
        return _("Held by rule: %(lots)s.") % {"lots": names} if names else ""

    def context(self) -> dict[str, Any]:
        """Return the last treatments."""
        steps = recent("treatment", ("apply",))
        rows = FieldTreatment.objects.select_related("plot").in_bulk([step.step for step in steps])
        return {"recorded": [treatment_line(step, rows[step.step]) for step in steps]}


class NoticeView(FieldView):
    """What a neighbour sprays beside a plot."""

    form_class = NoticeForm
    template_name = "desk/field_notice.html"
    page = "field-notice"
    day = "sprays_on"

    def options(self) -> dict[str, Any]:
        """Return the neighbours of all plots."""
        rows = in_force(PlotNeighbour).select_related("plot")
        return {"neighbours": Answers([(row.code, f"{row.plot.code}: {neighbour_words(row)}") for row in rows])}

    def write(self, act: Act, form: NoticeForm) -> Receipt:
        """Write the notice down."""
        facts = form.cleaned_data
        return treatment.notice(
            act, plot=code_in(FieldPlot, facts["plot"]), sprays_on=facts["sprays_on"], neighbour=facts.get("neighbour") or "",
            product=facts["product"], kept_apart=facts["kept_apart"],
        )

    def said(self, _receipt: Receipt, form: NoticeForm) -> str:
        """Return what was noticed."""
        facts = form.cleaned_data
        return _("Beside plot %(plot)s a neighbour sprays on %(day)s.") % {
            "plot": code_in(FieldPlot, facts["plot"]), "day": date_text(facts["sprays_on"], language()),
        }

    def context(self) -> dict[str, Any]:
        """Return the last notices."""
        steps = recent("treatment", ("notice",))
        rows = NeighbourNotice.objects.select_related("plot", "neighbour").in_bulk([step.step for step in steps])
        lines = [(step, rows[step.step]) for step in steps]
        return {"recorded": [step_line(step, _("%(plot)s.") % {"plot": row.plot.name}, notice_words(row)) for step, row in lines]}


def treatment_line(step: Recent, row: FieldTreatment) -> Line:
    """Return one treatment as an entry."""
    first = row.applied_on + dt.timedelta(days=row.interval_days)
    sentence = _("%(product)s; may be plucked from %(day)s.") % {"product": row.product, "day": date_text(first, language())}
    return step_line(step, _("%(plot)s.") % {"plot": row.plot.name}, sentence)
