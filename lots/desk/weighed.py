"""Screens with a scale: the station's scale and basis are shown, changeable, and remembered for the next form."""

from __future__ import annotations

from typing import Any, ClassVar

from django.utils.functional import cached_property

from lots.desk.forms.fields import MoistureField
from lots.desk.forms.plain import Answers
from lots.desk.forms.weighing import WeighedForm
from lots.desk.recording import ActView
from lots.models import Equipment, Scale
from lots.read.recent import Recent
from lots.read.registers import in_force
from lots.record.acts import Receipt

MACHINES = ("oven", "sorter", "filler")
COARSE, MIDDLE, FINE = "coarse", "middle", "fine"


class WeighedView(ActView):
    """A screen with weighings. ``usual_scale`` says for each strip which of the house's scales is the usual one."""

    usual_scale: ClassVar[dict[str, str]] = {"scale": MIDDLE}

    @cached_property
    def scales(self) -> list[Scale]:
        """The scales in use, the largest first."""
        return sorted(in_force(Scale), key=lambda scale: (-scale.capacity_mg, scale.code))

    def options(self) -> dict[str, Any]:
        """Return the scales with the chosen one of each strip."""
        return {"scales": self.scales, "usual": {strip: self.scale_for(strip) for strip in self.usual_scale}}

    def scale_for(self, strip: str) -> str:
        """Return the scale that stands chosen."""
        codes = [scale.code for scale in self.scales]
        if not codes:
            return ""
        place = {COARSE: 0, MIDDLE: len(codes) // 2, FINE: -1}[self.usual_scale[strip]]
        return self.station.of(f"{self.page}.{strip}", codes, codes[place])

    def machines(self, kind: str) -> Answers:
        """Return the machines of a kind: the only one is chosen by itself, else the one that stood chosen last."""
        known = [(row.code, machine_words(row)) for row in in_force(Equipment).filter(kind=kind)]
        only = known[0][0] if len(known) == 1 else ""
        return Answers(known, only or self.station.kept(f"{self.page}.{kind}"))

    def form(self, data: Any = None) -> Any:
        """Return the form with the basis on which this desk says its moistures."""
        made = super().form(data)
        for name, field in made.fields.items():
            if isinstance(field, MoistureField):
                field.widget.usual = self.station.kept(f"{self.page}.{name}")
        return made

    def written(self, form: Any) -> Receipt | None:
        """Write, and remember the scale and the basis."""
        receipt = super().written(form)
        if receipt is not None:
            self.remember(form)
        return receipt

    def remember(self, form: WeighedForm) -> None:
        """Keep the chosen scales and bases for this desk."""
        for strip in self.usual_scale:
            self.station.remember(f"{self.page}.{strip}", form.cleaned_data.get(strip) or "")
        for name, field in form.fields.items():
            given = form.cleaned_data.get(name)
            if name in MACHINES:
                self.station.remember(f"{self.page}.{name}", given or "")
            if isinstance(field, MoistureField) and given is not None:
                self.station.remember(f"{self.page}.{name}", str(given.basis.value))


def machine_words(row: Equipment) -> str:
    """Return a machine as a form names it: "OVEN1, Oven"."""
    return row.code if row.name.upper() == row.code else f"{row.code}, {row.name}"


def hint_masses(form: WeighedForm, last: Recent | None, roles: dict[str, str]) -> None:
    """Put last time's weighings beside the fields, by the role under which they were written."""
    for name, role in roles.items():
        if last is not None and name in form.fields:
            form.last_time(name, last.mass_mg(role))


def hint_moisture(form: WeighedForm, last: Recent | None, name: str, role: str) -> None:
    """Put last time's moisture beside a field."""
    line = next((line for line in last.lines if line.role == role), None) if last else None
    if line is not None and line.moisture_frac is not None:
        form.last_time(name, line.moisture_frac)
