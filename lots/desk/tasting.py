"""Tastings, and cultivars side by side."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.forms.release import TastingForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code, lot_of, told
from lots.desk.tables.release import CultivarTable
from lots.dossier.lab_words import tasting_words
from lots.models import SensoryNote, Staff
from lots.read.cultivars import comparison
from lots.read.names import lot_name, opened
from lots.read.persons import badge_of
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import tasting
from lots.record.acts import Act, Receipt


def tasters() -> list[tuple[str, str]]:
    """Return who can taste, by badge and name."""
    rows = list(in_force(Staff))
    names = opened(row.name for row in rows)
    return [(row.code, f"{row.code}, {names[row.name]}" if row.name in names else row.code) for row in rows]


class TastingView(ActView):
    """Note a tasting."""

    form_class = TastingForm
    template_name = "desk/tasting.html"
    page = "release-tasting"
    door = "release"

    def options(self) -> dict[str, Any]:
        """Return the badges; the own one stands chosen."""
        return {"tasters": tasters(), "taster": badge_of(self.request.user.get_username())}

    def write(self, act: Act, form: TastingForm) -> Receipt:
        """Write the tasting down."""
        facts = form.cleaned_data
        return tasting.note(
            act, lot=lot_code(facts["lot"]), taster=facts["taster"], tasted_on=facts["tasted_on"], marks=form.marks,
            blind=facts["blind"] == "yes", aroma=facts["aroma"], taste=facts["taste"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, form: TastingForm) -> str:
        """Return the tasting."""
        row = SensoryNote.objects.get(pk=receipt.step)
        lot = lot_of(form.cleaned_data["lot"])
        return _("Lot %(lot)s: %(tasting)s") % {"lot": lot_name(lot).name if lot else "", "tasting": tasting_words(row)}

    def so_far(self, _form: TastingForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is, but nothing of its leaf: who tastes blind reads this page too."""
        lot = lot_of(facts.get("lot"))
        return {"reads": {"lot": _("Lot %(lot)s.") % {"lot": lot.code} if lot else told(facts.get("lot"))}}

    def context(self) -> dict[str, Any]:
        """Return the last tastings."""
        steps = recent("tasting", ("note",))
        rows = SensoryNote.objects.select_related("lot").in_bulk([step.step for step in steps])
        return {"recorded": [tasting_line(step, rows[step.step]) for step in steps]}


def tasting_line(step: Recent, row: SensoryNote) -> Line:
    """Return one tasting as an entry."""
    return step_line(step, _("%(lot)s.") % {"lot": lot_name(row.lot).name}, tasting_words(row))


@require_safe
def cultivars(request: HttpRequest) -> HttpResponse:
    """Show cultivars side by side."""
    found = comparison()
    table = CultivarTable(found.cultivars)
    table.caption = _("Cultivars side by side")
    blends = ngettext(
        "%(count)d tasting was of a blend, or of leaf that nobody knows; it is left out.",
        "%(count)d tastings were of blends, or of leaf that nobody knows; they are left out.", found.blend_count,
    ) % {"count": found.blend_count}
    return render(request, "desk/cultivars.html", {
        "table": table if found.cultivars else None, "blends": blends if found.blend_count else "",
    })
