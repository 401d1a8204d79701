"""Forms of the house: shelves, the count of a whole shelf, bins."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import MassField, MoistureField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.many_weighed import ManyWeighedField
from lots.desk.forms.plain import RefMixin, WordsField, ref_field
from lots.desk.forms.weighing import LossForm, WeighedForm, happened_field, lost_as_field, lost_field, readings_field, scale_strip
from lots.trade.units import kg_from_mg


class PutForm(ActForm):
    """A lot onto a shelf: two scans."""

    main_act = _("Put it there")

    lot = ScanField(label=_("Scan the lot"))
    place = ScanField(label=_("Scan the shelf"), kinds=("name",))
    happened_at = happened_field(_("When was it put there?"))


class TakeForm(PutForm):
    """A lot off a shelf: the same two scans."""

    main_act = _("Take it off")

    happened_at = happened_field(_("When was it taken off?"))


class ManyOnScale(WeighedForm):
    """A weighed form with one list of lots and weights, read as the chosen scale shows them."""

    weighed_list = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        scale = self.scales.get(self.chosen("scale"))
        if scale is not None:
            field: Any = self.fields[self.weighed_list]
            field.places, field.most_kg = scale.decimals_count, kg_from_mg(scale.capacity_mg)


class PlaceCountForm(ManyOnScale):
    """A whole shelf, lot by lot; the book's figures come with the answer."""

    main_act = _("End the count of this shelf")
    on_scale = {"scale": ()}
    seldom = {"scale": _("scale")}
    weighed_list = "counted"

    place = ScanField(label=_("Scan the shelf"), kinds=("name",))
    counted = ManyWeighedField(label=_("Every lot that stands there, with its kilograms"), required=False)
    scale = scale_strip()
    happened_at = happened_field(_("When was it counted?"))


class CombiningForm(RefMixin, LossForm):
    """Lots of one material into one bin."""

    main_act = _("Write the bin down")
    on_scale = {"scale": ("together_mg", "lost_mg")}
    counted_by = {"together_mg": "together_count"}
    seldom = {
        "together_count": _("number of weighings"), "moisture": _("moisture"), "lost_mg": _("what was lost"), "lost_as": _("its name"),
        "bin_name": _("bin"), "why": _("why"), "scale": _("scale"), "maker_ref": _("own number"),
    }

    lots = ManyScanField(label=_("Scan the lots that went into the bin"), kinds=("lot", "name"))
    together_mg = MassField(label=_("All together in the bin, in kilograms"))
    together_count = readings_field()
    moisture = MoistureField(label=_("Moisture, if it was measured again"), required=False)
    lost_mg = lost_field()
    lost_as = lost_as_field()
    bin_name = WordsField(label=_("Which bin?"), max_length=40)
    why = WordsField(label=_("Why together?"), max_length=200)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the new lot"))
    happened_at = happened_field(_("When was it done?"))
