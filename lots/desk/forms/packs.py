"""Forms about packs beside their filling: check-weighing, labels, kept samples."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, MassField, ScanField
from lots.desk.forms.many_masses import ManyMassField
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip
from lots.desk.words import language
from lots.quality.net_content import PLANS
from lots.trade.language import pick

BY_COUNT = "by count"
KG_PLACES = 3


class CheckWeighForm(WeighedForm):
    """Packs of one series, one weight after another."""

    main_act = _("Write the check-weighing down")
    on_scale = {"scale": ()}
    seldom = {"tare_mg": _("tare"), "plan": _("plan"), "scale": _("scale")}

    lot = ScanField(label=_("Scan a pack of the series, or its lot"))
    readings_mg = ManyMassField(label=_("Weights, one pack after another"))
    tare_mg = MassField(
        label=_("Weight of one empty pack, in grams"), unit="g", places=2, required=False,
        help_text=_("Leave it empty if the scale was tared: then the weights are net."),
    )
    plan = ChoiceStrip(label=_("Judged by"))
    scale = scale_strip()
    happened_at = happened_field(_("When was it weighed?"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["plan"]
        named = [(plan.name, pick(language(), plan.english, plan.japanese)) for plan in PLANS.values()]
        field.choices = [(BY_COUNT, _("the plan for so many packs")), *named]
        field.initial = BY_COUNT
        scale = self.scales.get(self.chosen("scale"))
        if scale is not None:
            self.fields["readings_mg"].places = max(0, scale.decimals_count - KG_PLACES)  # type: ignore[attr-defined]
