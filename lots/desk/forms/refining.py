"""Sorting: four streams of one lot of crude leaf."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import CountField, MassField, MoistureField, ScanField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, put_answers, ref_field
from lots.desk.forms.weighing import LossForm, happened_field, lost_as_field, lost_field, readings_field, scale_strip


class RefiningForm(RefMixin, LossForm):
    """Refined leaf, vein and stem, fines, off-colour leaf: each stream has a figure, 0 where there was none."""

    main_act = _("Write the sorting down")
    on_scale = {"scale": ("refined_mg", "vein_stem_mg", "fines_mg", "off_colour_mg", "lost_mg")}
    counted_by = {"refined_mg": "refined_count"}
    seldom = {
        "refined_count": _("number of weighings"), "lost_mg": _("what was lost"), "lost_as": _("its name"),
        "pass_count": _("passes"), "shelf": _("shelf"), "grade": _("grade"), "sorter": _("sorting line"),
        "scale": _("scale"), "maker_ref": _("own number"),
    }

    lot = ScanField(label=_("Scan the lot of crude leaf"), kinds=("lot", "name"))
    refined_mg = MassField(label=_("Refined leaf, in kilograms"))
    refined_count = readings_field()
    moisture = MoistureField(label=_("Moisture of the refined leaf"), required=False)
    vein_stem_mg = MassField(label=_("Vein and stem, in kilograms"))
    fines_mg = MassField(label=_("Fines, in kilograms"))
    off_colour_mg = MassField(label=_("Off-colour leaf, in kilograms"))
    lost_mg = lost_field()
    pass_count = CountField(label=_("Passes through cutter and winnower"), most=99, required=False)
    lost_as = lost_as_field()
    shelf = WordsField(label=_("Shelf of the refined leaf"), max_length=24)
    grade = WordsField(label=_("Grade, as the house says it"), max_length=40)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the refined leaf"))
    happened_at = happened_field(_("When was it done?"))

    def __init__(self, *args: Any, sorter: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "sorter", _("Sorting line"), sorter)
