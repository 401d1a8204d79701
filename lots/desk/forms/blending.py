"""Forms of blends: the plan with what is meant, and the blend as it was poured."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, MeasureField, MoistureField
from lots.desk.forms.house import ManyOnScale
from lots.desk.forms.many_weighed import ManyWeighedField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, put_answers, ref_field
from lots.desk.forms.weighing import LossForm, happened_field, lost_as_field, lost_field, readings_field, scale_strip

NO_CLAIM = "none"
KINDS = (
    (NO_CLAIM, _("nothing")), ("state", _("a state, such as organic")), ("cultivar", _("a cultivar")), ("plot", _("a plot")),
    ("flush", _("a flush")),
)
SECONDS_PER_MINUTE = 60


class BlendPlanForm(ActForm):
    """A blend before it is poured."""

    main_act = _("Write the plan down")

    parts = ManyWeighedField(label=_("Lots with the kilograms that are meant, in order of pouring"))
    name = WordsField(label=_("What is the blend called?"), required=True, max_length=80)
    kind = ChoiceStrip(label=_("What shall be said of it?"), choices=KINDS, initial=NO_CLAIM)
    label = WordsField(label=_("Of what shall it be? For instance organic, Saemidori, 1"), max_length=80)
    least = MeasureField(label=_("How much of it at least? Empty is all of it"), unit="%", places=1, most=100, required=False)
    happened_at = happened_field(_("When was it planned?"))

    def clean(self) -> dict[str, Any]:
        """What shall be said names something."""
        facts = super().clean() or self.cleaned_data
        if facts.get("kind") not in {None, NO_CLAIM} and not facts.get("label"):
            self.add_error("label", gettext("Say of what it shall be."))
        return facts

    @property
    def claim(self) -> dict[str, Any]:
        """What is meant, as the recorder takes it."""
        return claim_in(self.cleaned_data)


def claim_in(facts: dict[str, Any]) -> dict[str, Any]:
    """Return what is meant of a blend, as far as it was typed."""
    kind = facts.get("kind") or NO_CLAIM
    if kind == NO_CLAIM or not facts.get("label"):
        return {"kind": "", "label": "", "least_frac": Decimal(1)}
    least = facts.get("least")
    return {"kind": kind, "label": facts["label"].strip(), "least_frac": Decimal(1) if least is None else Decimal(least) / 100}


class BlendForm(ManyOnScale, RefMixin, LossForm):
    """A blend as it was poured, what came out, what stayed in the mixer."""

    main_act = _("Write the blend down")
    on_scale = {"scale": ("blend_mg", "left_mg", "lost_mg")}
    counted_by = {"blend_mg": "blend_count"}
    LOSSES = (*LossForm.LOSSES, ("in_mixer", _("stayed in the mixer and was cleaned out")))
    weighed_list = "poured"
    seldom = {
        "blend_count": _("number of weighings"), "left_mg": _("left in the mixer"), "moisture": _("moisture"),
        "lost_mg": _("what was lost"), "lost_as": _("its name"), "mixed_count": _("minutes"), "mixer": _("mixer"), "scale": _("scale"),
        "maker_ref": _("own number"),
    }

    poured = ManyWeighedField(label=_("Every lot as it is poured, with its kilograms"), whole=True, help_text=_(
        "Scan a lot, type its kilograms, Enter; then the next. A lot without a figure is poured whole.",
    ))
    blend_mg = MassField(label=_("The blend, in kilograms"))
    blend_count = readings_field()
    left_mg = MassField(label=_("Left in the mixer and kept, in kilograms"), required=False)
    moisture = MoistureField(label=_("Moisture of the blend, if it was measured"), required=False)
    lost_mg = lost_field()
    lost_as = lost_as_field(LOSSES)
    mixed_count = CountField(label=_("Minutes in the mixer"), most=10_000, required=False)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the blend"))
    happened_at = happened_field(_("When was it blended?"))

    def __init__(self, *args: Any, mixer: Answers | None = None, plan: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "mixer", _("Mixer"), mixer, required=False)
        put_answers(self, "plan", _("After which plan?"), plan, required=False)

    @property
    def mixed_s(self) -> int | None:
        """How long it was mixed, in seconds."""
        minutes = self.cleaned_data.get("mixed_count")
        return None if minutes is None else minutes * SECONDS_PER_MINUTE
