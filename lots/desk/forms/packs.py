"""Forms about packs beside their filling: check-weighing, labels, kept samples."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, ReasonField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.many_masses import ManyMassField
from lots.desk.forms.plain import pick as pick_field
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip
from lots.desk.words import language
from lots.models import LabelVersion
from lots.quality.net_content import PLANS
from lots.record.labelling import Labels, Packaging
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


class LabelCountForm(Folded):
    """Labels of one series, counted when its packing is closed; organic marks where there were any."""

    main_act = _("Write the count of labels down")
    MARKS = ("marks_taken_count", "marks_applied_count", "marks_spoiled_count", "marks_left_count")
    seldom = {
        "marks_taken_count": _("organic marks taken out"), "marks_applied_count": _("on packs"), "marks_spoiled_count": _("spoiled"),
        "marks_left_count": _("left"), "spoiled_packaging": _("spoiled packaging"),
    }

    lot = ScanField(label=_("Scan a pack of the series, or its lot"))
    printed_count = CountField(label=_("Labels printed, re-prints among them"))
    applied_count = CountField(label=_("On packs"))
    spoiled_count = CountField(label=_("Spoiled"))
    left_count = CountField(label=_("Left"))
    marks_taken_count = CountField(label=_("Organic marks taken out"), required=False)
    marks_applied_count = CountField(label=_("Organic marks on packs"), required=False)
    marks_spoiled_count = CountField(label=_("Organic marks spoiled"), required=False)
    marks_left_count = CountField(label=_("Organic marks left"), required=False)
    packaging = ManyScanField(
        label=_("Packaging lots, each with how many are packs now"), required=False, counted=True, kinds=("lot", "name"),
        help_text=_("One a line: scan the label of the packaging, then the count."),
    )
    spoiled_packaging = ManyScanField(
        label=_("Packaging that was spoiled"), required=False, counted=True, kinds=("lot", "name"),
        help_text=_("The same, if there was any."),
    )
    happened_at = happened_field(_("When were they counted?"))

    def __init__(self, *args: Any, labels: Sequence[LabelVersion] = (), chosen: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["label"] = pick_field(_("Label"), [(row.code, f"{row.code}, {row.name}") for row in labels])
        self.fields["label"].initial = chosen
        for name in ("packaging", "spoiled_packaging"):
            self.fields[name].part = "rest"  # type: ignore[attr-defined]
        self.order_fields(["lot", "printed_count", "applied_count", "spoiled_count", "left_count", "label", "packaging"])

    def clean(self) -> dict[str, Any]:
        """Marks are counted whole or not at all."""
        facts = super().clean() or self.cleaned_data
        typed = [facts.get(name) is not None for name in self.MARKS]
        if any(typed) and not all(typed):
            missing = next(name for name, there in zip(self.MARKS, typed, strict=True) if not there)
            if missing not in self.errors:
                self.add_error(missing, gettext("Type all four counts of the marks; 0 if there are none."))
        for name in ("packaging", "spoiled_packaging"):
            bare = [line.scanned.typed for line in facts.get(name) or () if line.pack_count is None or line.first_no is not None]
            if bare:
                self.add_error(name, gettext("How many of %(code)s? Type the count behind it.") % {"code": bare[0]})
        return facts

    @property
    def taken(self) -> list[Packaging]:
        """What was taken of packaging lots, packs first, then what was spoiled."""
        facts = self.cleaned_data
        used = [Packaging(line.scanned.code, line.pack_count) for line in facts.get("packaging") or ()]
        return [*used, *(Packaging(line.scanned.code, 0, line.pack_count) for line in facts.get("spoiled_packaging") or ())]

    @staticmethod
    def labels_of(facts: dict[str, Any]) -> Labels | None:
        """The labels as they were counted, None while a count is missing."""
        return counted(facts, ("printed_count", "applied_count", "spoiled_count", "left_count"))

    @classmethod
    def marks_of(cls, facts: dict[str, Any]) -> Labels | None:
        """The marks as they were counted, None where there were none."""
        return counted(facts, cls.MARKS)


def counted(facts: dict[str, Any], names: Sequence[str]) -> Labels | None:
    """Return four counts, None where one is missing."""
    found = [facts.get(name) for name in names]
    return None if None in found else Labels(*found)  # type: ignore[arg-type]


class ReprintForm(ActForm):
    """Labels that are printed once more."""

    main_act = _("Write the re-print down")

    lot = ScanField(label=_("Scan a pack of the series, or its lot"))
    print_count = CountField(label=_("Labels printed again"), most=10_000)
    cause = ReasonField(label=_("Why were they printed again?"), max_length=200)
    happened_at = happened_field(_("When was it?"))
