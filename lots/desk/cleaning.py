"""Clean-down of a machine."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.shelf import CleanForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import code_in, told_thing
from lots.desk.words import joined
from lots.models import CleanDown, Equipment
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import cleaning
from lots.record.acts import Act, Receipt


class CleanView(ActView):
    """A clean-down."""

    form_class = CleanForm
    template_name = "desk/cleaning.html"
    page = "cleaning"
    door = "today"

    def write(self, act: Act, form: CleanForm) -> Receipt:
        """Write the clean-down down."""
        facts = form.cleaned_data
        return cleaning.clean(
            act, equipment=code_in(Equipment, facts["equipment"]), opened=facts["opened"] == "yes", result=facts["result"],
            done=facts["done"], manner=facts["manner"], first_out=facts["first_out"], checked_by=facts["checked_by"].strip().upper(),
            happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: CleanForm) -> str:
        """Return what the clean-down means for the leaf to come."""
        machine = {"machine": code_in(Equipment, form.cleaned_data["equipment"])}
        if form.cleaned_data["opened"] == "yes":
            return _("%(machine)s was opened and cleaned: what comes next does not touch the leaf before.") % machine
        return _("%(machine)s was wiped, not opened: what comes next may still touch the leaf before.") % machine

    def so_far(self, _form: CleanForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which machine it is."""
        unknown = _("No machine %(code)s is in the register.")
        return {"reads": {"equipment": told_thing(Equipment, facts.get("equipment"), unknown)}}

    def context(self) -> dict[str, Any]:
        """Return the machines, and the last clean-downs."""
        steps = recent("cleaning", ("clean",))
        rows = CleanDown.objects.select_related("checked_by").in_bulk([step.step for step in steps])
        machines = [f"{row.code}, {row.name}" for row in in_force(Equipment)]
        return {"recorded": [clean_line(step, rows[step.step]) for step in steps], "machines": machines}


def clean_line(step: Recent, row: CleanDown) -> Line:
    """Return one clean-down as an entry."""
    how = _("Opened and cleaned inside.") if row.opened else _("Wiped from outside only.")
    said = joined([how, row.done.capitalize(), manner_words(row), row.result.capitalize()])
    return step_line(step, _("%(machine)s.") % {"machine": step.machine}, said)


def manner_words(row: CleanDown) -> str:
    """Return how a machine was cleaned, what became of the first material, and who checked it."""
    manner = {"dry": _("Cleaned dry."), "wet": _("Cleaned wet: it must be dry before leaf goes in.")}.get(row.manner, "")
    first = {
        "none came": _("No first material came."), "thrown away": _("The first material was thrown away."),
        "kept apart": _("The first material was kept apart."), "went on": _("The first material went on."),
    }.get(row.first_out, "")
    checked = _("Checked by badge %(badge)s.") % {"badge": row.checked_by.code} if row.checked_by else ""
    return joined([manner, first, checked])
