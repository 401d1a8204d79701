"""Leaf in: one delivery of fresh leaf."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, MoistureField, ScanField
from lots.desk.forms.plain import DayField, RefMixin, pick, ref_field
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip

FLUSHES = (("1", _("first")), ("2", _("second")), ("3", _("third")), ("4", _("autumn")))


class IntakeForm(RefMixin, WeighedForm):
    """Plot, bags, kilograms, moisture; cultivar and round where the book does not know them."""

    main_act = _("Take the leaf in")
    on_scale = {"scale": ("fresh_mg",)}
    counted_by = {"fresh_mg": "bag_count"}
    seldom = {"flush_no": _("flush"), "cultivar": _("cultivar"), "scale": _("scale"), "maker_ref": _("own number")}

    plot = ScanField(label=_("Scan the card of the plot"), kinds=("name",))
    bag_count = CountField(label=_("Bags"), most=2_000)
    fresh_mg = MassField(label=_("Fresh leaf in all bags, in kilograms"))
    moisture = MoistureField(label=_("Moisture of the fresh leaf, as the slip says"), required=False)
    plucked_on = DayField(label=_("Plucked on"))
    flush_no = ChoiceStrip(label=_("Which flush?"), choices=FLUSHES, required=False)
    cultivar = ChoiceStrip(label=_("Cultivar"), required=False)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the lot"))
    happened_at = happened_field(_("When did it come in?"))

    def __init__(self, *args: Any, cultivars: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        hint = _("Leave it open where one cultivar stands on the plot.")
        self.fields["cultivar"] = pick(_("Cultivar"), cultivars, required=False, help_text=hint)
        self.fields["flush_no"].help_text = _("Leave it open and the book counts.")
