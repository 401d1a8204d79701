"""A sample for a laboratory."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.release import SampleForm
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import lot_code, lot_of, told
from lots.desk.weighed import FINE, WeighedView
from lots.desk.words import mass
from lots.models import PackedUnit, Party, SampleTaken
from lots.read.names import lot_name, opened
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import sampling
from lots.record.acts import Act, Receipt


def laboratories() -> list[tuple[str, str]]:
    """Return the laboratories of the register, by code and name."""
    rows = [row for row in in_force(Party) if "laboratory" in row.roles.split()]
    names = opened(row.name for row in rows)
    return [(row.code, f"{row.code}, {names[row.name]}" if row.name in names else row.code) for row in rows]


class SampleView(WeighedView):
    """Take a sample."""

    form_class = SampleForm
    template_name = "desk/sampling.html"
    page = "release-sample"
    door = "release"
    usual_scale = {"scale": FINE}

    def options(self) -> dict[str, Any]:
        """Return scales and laboratories."""
        return {**super().options(), "laboratories": laboratories()}

    def write(self, act: Act, form: SampleForm) -> Receipt:
        """Write the sample down."""
        facts = form.cleaned_data
        return sampling.take(
            act, lot=lot_code(facts["lot"]), sample_no=facts["sample_no"], method=facts["method"], mass=form.weight("mass_mg"),
            pack_count=facts["pack_count"] or 0, taker=facts["taker"], seal_no=facts["seal_no"],
            laboratory=facts.get("laboratory") or "", happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: SampleForm) -> str:
        """Return what was taken."""
        row = SampleTaken.objects.select_related("lot").get(pk=receipt.step)
        return _("Sample %(number)s of lot %(lot)s was taken.") % {"number": row.sample_no, "lot": lot_name(row.lot).name}

    def so_far(self, _form: SampleForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is, and whether it is weighed or counted."""
        lot = lot_of(facts.get("lot"))
        packs = lot is not None and PackedUnit.objects.filter(lot=lot).exists()
        say = _("These are packs: count how many are opened.") if packs else ""
        return {"reads": {"lot": told(facts.get("lot"))}, "say": say}

    def context(self) -> dict[str, Any]:
        """Return the last samples."""
        steps = recent("sampling", ("take",))
        rows = SampleTaken.objects.select_related("lot", "laboratory").in_bulk([step.step for step in steps])
        return {"recorded": [sample_line(step, rows[step.step]) for step in steps], "laboratories": bool(laboratories())}


def sample_line(step: Recent, row: SampleTaken) -> Line:
    """Return one sample as an entry."""
    taken = mass(sum(line.mass_mg for line in step.of("lost")))
    to = _(", for %(laboratory)s") % {"laboratory": row.laboratory.code} if row.laboratory else ""
    said = _("%(mass)s of lot %(lot)s, %(method)s%(to)s.") % {"mass": taken, "lot": lot_name(row.lot).name, "method": row.method, "to": to}
    return step_line(step, _("Sample %(number)s.") % {"number": row.sample_no}, said)
