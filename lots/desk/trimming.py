"""Trim: a plot is cut back, as deep as a plucking or lighter."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.field import DEEP, TrimForm
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import code_in
from lots.desk.shading import FieldView, start_of
from lots.desk.words import language
from lots.models import FieldPlot, FieldTrim
from lots.read.recent import Recent, recent
from lots.record import trimming
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text


class TrimView(FieldView):
    """A trim."""

    form_class = TrimForm
    template_name = "desk/field_trim.html"
    page = "field-trim"
    day = "trimmed_on"

    def write(self, act: Act, form: TrimForm) -> Receipt:
        """Write the trim down."""
        facts = form.cleaned_data
        return trimming.trim(
            act, plot=code_in(FieldPlot, facts["plot"]), trimmed_on=facts["trimmed_on"], as_plucking=facts["depth"] == DEEP,
            happened_at=start_of(facts["trimmed_on"]),
        )

    def said(self, _receipt: Receipt, form: TrimForm) -> str:
        """Return what was trimmed."""
        facts = form.cleaned_data
        return _("Plot %(plot)s trimmed on %(day)s.") % {
            "plot": code_in(FieldPlot, facts["plot"]), "day": date_text(facts["trimmed_on"], language()),
        }

    def context(self) -> dict[str, Any]:
        """Return the last trims."""
        steps = recent("trimming", ("trim",))
        rows = FieldTrim.objects.select_related("plot").in_bulk([step.step for step in steps])
        return {"recorded": [trim_line(step, rows[step.step]) for step in steps]}


def trim_line(step: Recent, row: FieldTrim) -> Line:
    """Return one trim as an entry."""
    deep = _("As deep as a plucking: uses count anew.") if row.as_plucking else _("Light: uses go on counting.")
    return step_line(step, _("%(plot)s.") % {"plot": row.plot.name}, deep)
