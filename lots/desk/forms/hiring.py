"""Forms of milling for hire: sent, taken back, handed over."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, MassField, MoistureField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, pick, ref_field
from lots.desk.forms.weighing import WeighedForm, happened_field, readings_field, scale_strip

PAPER_MOST, WORDS_MOST = 60, 200


class SendForm(RefMixin, WeighedForm):
    """A lot, or a part of it, to another mill."""

    main_act = _("Send it to the other mill")
    on_scale = {"scale": ("weighed_mg",)}
    counted_by = {"weighed_mg": "reading_count"}
    seldom = {"reading_count": _("number of weighings"), "note": _("note"), "scale": _("scale"), "maker_ref": _("own number")}

    lot = ScanField(label=_("Scan the lot"), kinds=("lot", "name"))
    weighed_mg = MassField(label=_("How much of it, in kilograms"), required=False)
    reading_count = readings_field()
    paper_no = WordsField(label=_("Number of the paper"), required=True, max_length=PAPER_MOST)
    note = WordsField(label=_("Anything that should be known"), max_length=WORDS_MOST)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the new lot"))
    happened_at = happened_field(_("When did it go?"))

    def __init__(self, *args: Any, mills: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weighed_mg"].help_text = _("Empty is all of it.")
        self.fields["party"] = pick(_("To which mill?"), mills.known if mills else ())
        self.order_fields(["lot", "weighed_mg", "party", "paper_no", "happened_at", "reading_count", "note", "scale", "maker_ref"])


class BackForm(RefMixin, WeighedForm):
    """What another mill ground comes home."""

    main_act = _("Take it back")
    on_scale = {"scale": ("powder_mg", "left_mg")}
    counted_by = {"powder_mg": "reading_count"}
    seldom = {"reading_count": _("number of weighings"), "note": _("note"), "scale": _("scale"), "maker_ref": _("own number")}

    lots = ManyScanField(label=_("Scan the lots that were sent"), kinds=("lot", "name"))
    powder_mg = MassField(label=_("Powder that came back, in kilograms"))
    left_mg = MassField(label=_("Leaf that came back, in kilograms; 0 for none"))
    moisture = MoistureField(label=_("Moisture of the powder"), required=False)
    sieved = ChoiceStrip(label=_("Is the powder sieved?"), choices=(("no", _("no")), ("yes", _("yes"))))
    paper_no = WordsField(label=_("Number of the paper"), required=True, max_length=PAPER_MOST)
    reading_count = readings_field()
    note = WordsField(label=_("Anything that should be known"), max_length=WORDS_MOST)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the powder"))
    happened_at = happened_field(_("When did it come back?"))
    field_order = (
        "lots", "powder_mg", "left_mg", "moisture", "sieved", "paper_no", "happened_at", "reading_count", "note", "scale", "maker_ref",
    )


class HandOverForm(ActForm):
    """Goods of others go back to whom they belong."""

    main_act = _("Hand them over")

    lots = ManyScanField(label=_("Scan the lots that are handed over"), kinds=("lot", "name"))
    paper_no = WordsField(label=_("Number of the paper"), required=True, max_length=PAPER_MOST)
    note = WordsField(label=_("Anything that should be known"), max_length=WORDS_MOST)
    happened_at = happened_field(_("When was it?"))

    def __init__(self, *args: Any, owners: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["party"] = pick(_("To whom do they belong?"), owners.known if owners else ())
        self.order_fields(["lots", "party", "paper_no", "happened_at", "note"])
