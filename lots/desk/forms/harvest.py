"""Leaf in: one delivery of fresh leaf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.bags import ROUND_SELDOM, BagsField, RoundForm
from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, MoistureField, ScanField
from lots.desk.forms.plain import DayField, RefMixin, pick, ref_field
from lots.desk.forms.weighing import happened_field, scale_strip
from lots.desk.words import mass
from lots.record.lines import Weight

FLUSHES = (("1", _("first")), ("2", _("second")), ("3", _("third")), ("4", _("autumn")))


#: The order of the hands; what is seldom needed comes last.
ORDER = (
    "plot", "bags_mg", "bag_count", "fresh_mg", "moisture", "plucked_on", "happened_at", "flush_no", "cultivar", "scale", "maker_ref",
    "water_mg", "water_reason", "team", "method", "leaf_wet", "plucked_until", "carrier",
)


@dataclass(frozen=True, slots=True)
class Delivery:
    """What was weighed of a delivery; ``bags_mg`` is empty where the slip gives the sum alone, ``said`` is the sum in words."""

    bag_count: int
    fresh: Weight
    said: str
    bags_mg: tuple[int, ...] = ()


class IntakeForm(RefMixin, RoundForm):
    """Plot, bags, kilograms, moisture; cultivar and round where the book does not know them."""

    main_act = _("Take the leaf in")
    on_scale = {"scale": ("fresh_mg", "water_mg")}
    counted_by = {"fresh_mg": "bag_count"}
    seldom = {
        "flush_no": _("flush"), "cultivar": _("cultivar"), "scale": _("scale"), "maker_ref": _("own number"), **ROUND_SELDOM,
    }

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
        self.order_fields(ORDER)

    def delivery(self) -> Delivery:
        """What was weighed, as the slip gives it: a count of bags and their sum."""
        return Delivery(self.cleaned_data["bag_count"], self.weight("fresh_mg"), self.said("fresh_mg"))


class BagsForm(IntakeForm):
    """The same, the bags weighed one after another: one number and Enter for each."""

    on_scale = {"scale": ("water_mg",)}
    counted_by = {}

    bag_count = None
    fresh_mg = None
    bags_mg = BagsField(label=_("Bags, one after another"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bags_mg"].set_scale(self.scales.get(self.chosen("scale")))  # type: ignore[attr-defined]
        self.order_fields(ORDER)

    def delivery(self) -> Delivery:
        """What was weighed, bag by bag."""
        bags, code = self.cleaned_data["bags_mg"], self.cleaned_data.get("scale") or ""
        scale = self.scales.get(code)
        said = mass(sum(bags), scale.decimals_count if scale else None)
        return Delivery(len(bags), Weight(sum(bags), code, len(bags)), said, bags)
