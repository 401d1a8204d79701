"""Sieve: tubs of powder through one screen."""

from __future__ import annotations

from typing import Any, ClassVar

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, MassField, MoistureField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, put_answers, ref_field
from lots.desk.forms.weighing import LossForm, happened_field, lost_as_field, lost_field, readings_field, scale_strip
from lots.models import SievePass

FATES = (
    (SievePass.Fate.REMILL.value, _("mill again")), (SievePass.Fate.REJECT.value, _("reject")),
    (SievePass.Fate.OPEN.value, _("not decided")),
)


class JobField(WordsField):
    """The number of a job, beside the line of scans that it can stand for; no code of ours, so no scan finds it."""

    part: ClassVar[str] = "scan"


class SievingForm(RefMixin, LossForm):
    """What went through and what stayed on the screen. Oversize has a scale of its own: there is little of it."""

    main_act = _("Write the sieving down")
    on_scale = {"scale": ("through_mg",), "small_scale": ("oversize_mg", "lost_mg")}
    counted_by = {"through_mg": "through_count"}
    seldom = {
        "through_count": _("number of weighings"), "moisture": _("moisture"), "lost_mg": _("what was lost"),
        "lost_as": _("its name"), "screen": _("screen"), "scale": _("scale"), "small_scale": _("scale of the oversize"),
        "maker_ref": _("own number"),
    }

    unmarked = ("lots", "job")

    lots = ManyScanField(label=_("Scan the tubs"), kinds=("lot", "name"), required=False)
    job = JobField(label=_("Or all tubs of a job"), max_length=24, passed=True, help_text=_("Its number, such as J26-06."))
    through_mg = MassField(label=_("Powder through the screen, in kilograms"))
    through_count = readings_field()
    oversize_mg = MassField(label=_("Oversize, in kilograms; 0 if there was none"), places=3)
    moisture = MoistureField(label=_("Moisture of the powder, if it was measured again"), required=False)
    lost_mg = lost_field()
    oversize_fate = ChoiceStrip(label=_("What becomes of the oversize?"), choices=FATES, required=False)
    lost_as = lost_as_field()
    scale = scale_strip()
    small_scale = ChoiceStrip(label=_("Scale of the oversize"))
    maker_ref = ref_field(_("Own number of the sieved powder"))
    happened_at = happened_field(_("When was it sieved?"))

    def __init__(self, *args: Any, screen: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "screen", _("Screen"), screen)

    def clean(self) -> dict[str, Any]:
        """Tubs are named one by one or by their job; oversize has a fate."""
        facts = super().clean()
        if not facts.get("lots") and not facts.get("job") and "lots" not in self.errors and "job" not in self.errors:
            self.add_error("lots", gettext("Nothing was scanned. Scan each tub, or type the number of the job."))
        if facts.get("oversize_mg") and not facts.get("oversize_fate"):
            self.add_error("oversize_fate", gettext("Say what becomes of it; not decided is an answer."))
        return facts
