"""Short forms: a stock count, a clean-down, a hold, a fetch-back, a release."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, MassField, ReasonField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import WordsField
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import WeighedForm, happened_field, readings_field, scale_strip

WORDS_MOST = 400


class CountForm(WeighedForm):
    """What a person weighed on the shelf. The book's figure is shown only afterwards."""

    main_act = _("Write the count down")
    on_scale = {"scale": ("counted_mg",)}
    counted_by = {"counted_mg": "counted_count"}
    seldom = {"counted_count": _("number of weighings"), "scale": _("scale")}

    lot = ScanField(label=_("Scan the lot on the shelf"))
    counted_mg = MassField(label=_("Counted, in kilograms; 0 if nothing is there"))
    counted_count = readings_field()
    with_lots = ManyScanField(
        label=_("Bags of its left-over that were weighed with it"), required=False, kinds=("lot", "name"),
    )
    scale = scale_strip()
    happened_at = happened_field(_("When was it counted?"))


class CleanForm(Folded):
    """A machine that was cleaned; only one that was opened ends the contact with the leaf before."""

    main_act = _("Write the clean-down down")
    seldom = {"done": _("what was done"), "manner": _("dry or wet"), "first_out": _("first material"), "checked_by": _("who checked")}

    equipment = ScanField(label=_("Scan the tag of the machine"), kinds=("name",))
    opened = ChoiceStrip(label=_("Was it opened?"), choices=(
        ("yes", _("opened and cleaned inside")), ("no", _("wiped from outside only")),
    ))
    result = WordsField(label=_("What was found"), max_length=120)
    done = WordsField(label=_("What was done: brushed, sucked off, wiped, washed"), max_length=120)
    manner = ChoiceStrip(label=_("Dry or wet?"), required=False, choices=(("dry", _("dry")), ("wet", _("wet"))))
    first_out = ChoiceStrip(label=_("What became of the first material that came out?"), required=False, choices=(
        ("none came", _("none came")), ("thrown away", _("thrown away")), ("kept apart", _("kept apart")), ("went on", _("went on")),
    ))
    checked_by = WordsField(label=_("Badge of who checked it"), max_length=24)
    happened_at = happened_field(_("When was it cleaned?"))


class HoldForm(ActForm):
    """Stop a lot and everything that was made of it."""

    main_act = _("Stop it")

    lot = ScanField(label=_("Scan the lot, or one of its packs"))
    reason = ReasonField(label=_("Why is it stopped?"), max_length=WORDS_MOST)
    happened_at = happened_field(_("Since when?"))


class RecallForm(HoldForm):
    """Fetch a lot back: the pages of its packs say what a person who holds one should do."""

    main_act = _("Fetch it back")

    what_to_do = WordsField(label=_("What should a person do who holds such a pack?"), required=True, max_length=WORDS_MOST)
    what_to_do_ja = WordsField(label=_("The same in Japanese"), max_length=WORDS_MOST)

    field_order = ("lot", "reason", "what_to_do", "what_to_do_ja", "happened_at")


class ReleaseForm(ActForm):
    """End a hold, with the ground on which it ends."""

    main_act = _("Release it")

    reason = ReasonField(label=_("On what ground: which result, which assessment?"), max_length=WORDS_MOST)
    happened_at = happened_field(_("When was it decided?"))
