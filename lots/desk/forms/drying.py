"""Oven: crude leaf and stem of one lot of fresh leaf."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import MassField, MeasureField, MoistureField, ScanField
from lots.desk.forms.plain import Answers, RefMixin, put_answers, ref_field
from lots.desk.forms.weighing import LossForm, happened_field, lost_as_field, lost_field, readings_field, scale_strip


class DryingForm(RefMixin, LossForm):
    """What came out of the oven; the stem has a line of its own, so that it is never a loss."""

    main_act = _("Write the oven batch down")
    on_scale = {"scale": ("crude_mg", "stem_mg", "lost_mg")}
    counted_by = {"crude_mg": "crude_count"}
    seldom = {
        "crude_count": _("number of weighings"), "lost_mg": _("what was lost"), "lost_as": _("its name"),
        "lower_tier_c": _("lowest tier"), "oven": _("oven"), "scale": _("scale"), "maker_ref": _("own number"),
    }

    lot = ScanField(label=_("Scan the lot of fresh leaf"), kinds=("lot", "name"))
    crude_mg = MassField(label=_("Crude leaf, in kilograms"))
    crude_count = readings_field()
    crude_moisture = MoistureField(label=_("Moisture of the crude leaf"), required=False)
    stem_mg = MassField(label=_("Stem, in kilograms; 0 if there was none"))
    stem_moisture = MoistureField(label=_("Moisture of the stem"), required=False)
    lost_mg = lost_field()
    lower_tier_c = MeasureField(label=_("Lowest tier of the oven"), unit="°C", places=0, most=400, required=False)
    lost_as = lost_as_field()
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the crude leaf"))
    happened_at = happened_field(_("When was it done?"))

    def __init__(self, *args: Any, oven: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "oven", _("Oven"), oven)
