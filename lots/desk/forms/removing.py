"""Forms for what is taken out of stock and not sold: mass of a lot, or packs by count or number."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, ScanField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, put_answers, ref_field
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip

WORDS_MOST = 200


class TakenForm(WeighedForm):
    """What is taken out: weighed, or counted where it is packs."""

    main_act = _("Take it out of stock")
    on_scale = {"scale": ("mass_mg",)}
    seldom = {"first_no": _("number of the first pack"), "scale": _("scale")}

    lot = ScanField(label=_("Scan the lot, or a pack"))
    mass_mg = MassField(label=_("How much, in kilograms"), required=False)
    pack_count = CountField(label=_("Or how many packs"), required=False, most=100_000)
    first_no = CountField(label=_("From which number on, if they are counted in a row"), required=False, most=1_048_575)
    why = WordsField(label=_("Why?"), max_length=WORDS_MOST)
    scale = scale_strip()
    happened_at = happened_field(_("When was it?"))


class SpillForm(TakenForm):
    """Tea that was spilt."""


class OwnUseForm(TakenForm):
    """Tea that the house used."""

    why = WordsField(label=_("What was it used for?"), required=True, max_length=WORDS_MOST)


class GiftForm(TakenForm):
    """Tea that was given away."""

    recipient = WordsField(label=_("Who has it now?"), required=True, max_length=120)
    contact = WordsField(label=_("How can they be reached, if it is called back?"), max_length=160)
    field_order = ("lot", "mass_mg", "pack_count", "first_no", "recipient", "contact", "why", "scale", "happened_at")


class DestroyForm(TakenForm):
    """Tea that is destroyed before a witness."""

    how = WordsField(label=_("How was it destroyed?"), required=True, max_length=120)
    evidence = WordsField(label=_("Evidence: picture, ticket or paper; needed for what is fetched back"), max_length=WORDS_MOST)

    def __init__(self, *args: Any, people: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass_mg"].help_text = _("Empty is all of it.")
        put_answers(self, "witness", _("Who saw it?"), people)
        self.order_fields(["lot", "mass_mg", "pack_count", "first_no", "how", "witness", "evidence", "why", "scale", "happened_at"])


class DowngradeForm(RefMixin, WeighedForm):
    """Leaf or powder that is lowered in state or grade."""

    main_act = _("Lower it")
    on_scale = {"scale": ("mass_mg",)}
    seldom = {"scale": _("scale"), "maker_ref": _("own number")}

    lot = ScanField(label=_("Scan the lot"), kinds=("lot", "name"))
    mass_mg = MassField(label=_("How much of it, in kilograms"), required=False)
    state = ChoiceStrip(label=_("To which state?"), required=False, choices=(
        ("", _("the state stays")), ("in conversion", _("in conversion")), ("conventional", _("conventional")),
    ))
    grade = WordsField(label=_("Or to which grade, as the house says it?"), max_length=40)
    why = WordsField(label=_("Why?"), required=True, max_length=WORDS_MOST)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the new lot"))
    happened_at = happened_field(_("When was it?"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass_mg"].help_text = _("Empty is all of it.")
