"""A correction: the figure as it stands on the ticket is typed; nothing is filled in."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import MassField
from lots.desk.forms.seldom import Folded
from lots.desk.words import material_word
from lots.models import Flow
from lots.read.correcting import StandingLine, StandingStep
from lots.trade.units import MG_PER_KG, number_text

LINE = "line_"


class AdjustForm(Folded):
    """One line for each weighing of the step; what is left empty stays as it stands."""

    main_act = _("Look at what changes")
    usual_reasons = (
        _("It stands so on the ticket"), _("Digits were swapped"), _("Another line was typed"),
        _("The ticket is missing; weighed again"),
    )

    def __init__(self, *args: Any, step: StandingStep, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.step = step
        for line in step.weighings:
            self.fields[f"{LINE}{line.id}"] = self.line_field(line)

    @property
    def unmarked(self) -> list[str]:
        """What is right stays empty."""
        return [name for name in self.fields if name.startswith(LINE)]

    def line_field(self, line: StandingLine) -> MassField:
        """Return the field of one weighing, with what stands beside it."""
        stands = gettext("%(mass)s kg stands in the book.") % {"mass": number_text(line.now_mg / MG_PER_KG, line.decimals_count)}
        scale = gettext("Scale %(scale)s.") % {"scale": line.scale} if line.scale else ""
        return MassField(
            label=gettext("%(what)s, in kilograms") % {"what": line_words(line)}, places=line.decimals_count,
            required=False, help_text=f"{stands} {scale}".strip(),
        )

    def clean(self) -> dict[str, Any]:
        """Something must be typed."""
        facts = super().clean() or self.cleaned_data
        if not self.errors and not self.masses_mg:
            self.add_error(None, gettext("Nothing was typed. Type the figure that stands on the ticket beside the line that is wrong."))
        return facts

    @property
    def masses_mg(self) -> dict[int, int]:
        """The typed masses by the number of their line."""
        typed = {name: mass for name, mass in self.cleaned_data.items() if name.startswith(LINE) and mass is not None}
        return {int(name.removeprefix(LINE)): mass for name, mass in typed.items()}


class ReverseForm(ActForm):
    """A step that did not happen. The reason is asked on the next page."""

    main_act = _("It did not happen")
    usual_reasons = (
        _("It was written down twice"), _("It was written on the wrong lot"), _("It was planned, not done"),
    )


def line_words(line: StandingLine) -> str:
    """Return which weighing a line is: "Refined leaf, R26-LT1", "Into it: C26-LT1"."""
    what = material_word(line.role)
    if line.kind == Flow.Kind.IN:
        return gettext("Into it, %(what)s of %(lot)s") % {"what": what, "lot": line.lot}
    if line.kind == Flow.Kind.LOST:
        return gettext("Lost, %(what)s") % {"what": what}
    return gettext("%(what)s, %(lot)s") % {"what": what.capitalize(), "lot": line.lot}
