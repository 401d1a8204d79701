"""Treatment: what was put on a plot, and from which day it may be plucked."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.field import TreatmentForm
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import code_in
from lots.desk.shading import FieldView, start_of
from lots.desk.words import language
from lots.models import FieldPlot, FieldTreatment
from lots.read.recent import Recent, recent
from lots.record import treatment
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text


class TreatmentView(FieldView):
    """A treatment or fertiliser."""

    form_class = TreatmentForm
    template_name = "desk/field_treatment.html"
    page = "field-treatment"
    day = "applied_on"

    def write(self, act: Act, form: TreatmentForm) -> Receipt:
        """Write the treatment down."""
        facts = form.cleaned_data
        return treatment.apply(
            act, plot=code_in(FieldPlot, facts["plot"]), applied_on=facts["applied_on"], product=facts["product"],
            substance=facts["substance"], dose=facts["dose"], interval_days=facts["interval_days"],
            happened_at=start_of(facts["applied_on"]),
        )

    def said(self, _receipt: Receipt, form: TreatmentForm) -> str:
        """Return from which day the plot may be plucked."""
        facts = form.cleaned_data
        first = facts["applied_on"] + dt.timedelta(days=facts["interval_days"])
        return _("%(product)s on plot %(plot)s: it may be plucked from %(day)s.") % {
            "product": facts["product"], "plot": code_in(FieldPlot, facts["plot"]), "day": date_text(first, language()),
        }

    def context(self) -> dict[str, Any]:
        """Return the last treatments."""
        steps = recent("treatment", ("apply",))
        rows = FieldTreatment.objects.select_related("plot").in_bulk([step.step for step in steps])
        return {"recorded": [treatment_line(step, rows[step.step]) for step in steps]}


def treatment_line(step: Recent, row: FieldTreatment) -> Line:
    """Return one treatment as an entry."""
    first = row.applied_on + dt.timedelta(days=row.interval_days)
    sentence = _("%(product)s; may be plucked from %(day)s.") % {"product": row.product, "day": date_text(first, language())}
    return step_line(step, _("%(plot)s.") % {"plot": row.plot.name}, sentence)
