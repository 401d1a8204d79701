"""Stones: charge a hopper, take a tub off, end a run, log a dressing."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, HoursField, MassField, MoistureField, ScanField
from lots.desk.forms.plain import RefMixin, WordsField, ref_field
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip
from lots.record.lines import Weight


def pair_field() -> ScanField:
    """The tag of a stone pair."""
    return ScanField(label=_("Scan the tag of the stone pair"), kinds=("name",))


class LoadForm(WeighedForm):
    """A charge: opens a run on a pair that stands idle, tops up one that mills."""

    main_act = _("Charge the hopper")
    unmarked = ("job",)
    on_scale = {"scale": ("charge_mg",)}
    seldom = {"scale": _("scale")}

    pair = pair_field()
    lot = ScanField(label=_("Scan the lot of leaf"), kinds=("lot", "name"))
    charge_mg = MassField(label=_("Leaf into the hopper, in kilograms"), places=3)
    job = WordsField(
        label=_("Job, when a new run begins"), max_length=24, passed=True,
        help_text=_("Left open, it is the one in which other pairs mill this leaf."),
    )
    scale = scale_strip()
    happened_at = happened_field(_("When was it charged?"))


class TubForm(RefMixin, WeighedForm):
    """A tub: what the scale shows, the empty tub if the scale was not set to zero with it, hours if not by the clock."""

    main_act = _("Take the tub off")
    on_scale = {"scale": ("tub_mg", "tare_mg")}
    unmarked = ("tare_mg", "ground_h")
    seldom = {
        "tare_mg": _("empty tub"), "moisture": _("moisture"), "ground_h": _("hours"), "warm_up": _("warm-up"), "scale": _("scale"),
        "maker_ref": _("own number"),
    }

    pair = pair_field()
    tub_mg = MassField(label=_("Powder in the tub, in kilograms"), places=3)
    tare_mg = MassField(label=_("Empty tub, in kilograms"), places=3, required=False)
    moisture = MoistureField(label=_("Moisture of the powder, measured on this tub"), required=False)
    ground_h = HoursField(label=_("Hours the stones ran"), most=500, required=False, help_text=_("Leave it empty and the clock counts."))
    warm_up = ChoiceStrip(label=_("Did this leaf only warm the stones?"), required=False, initial="no", choices=(
        ("no", _("no, it is tea")), ("yes", _("yes, its powder is set aside")),
    ))
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the tub"))
    happened_at = happened_field(_("When was it taken off?"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tare_mg"].help_text = _("Only if the scale was not set to zero with it.")

    def clean(self) -> dict[str, Any]:
        """A tub weighs more with powder than without."""
        facts = super().clean()
        gross, tare = facts.get("tub_mg"), facts.get("tare_mg")
        if gross is not None and tare and tare >= gross:
            self.add_error("tare_mg", gettext("The empty tub cannot weigh as much as the full one. Look at both figures."))
        return facts

    @property
    def net(self) -> Weight:
        """The powder alone."""
        gross = self.weight("tub_mg")
        return Weight(gross.mass_mg - (self.cleaned_data.get("tare_mg") or 0), gross.scale, gross.reading_count)


class CloseForm(WeighedForm):
    """The end of a run: the left-over is weighed and typed, 0 included."""

    main_act = _("End the run")
    on_scale = {"scale": ("left_over_mg",)}
    seldom = {"scale": _("scale")}

    pair = pair_field()
    left_over_mg = MassField(label=_("Leaf left over in the hopper, in kilograms; type 0 if there is none"), places=3)
    scale = scale_strip()
    happened_at = happened_field(_("When was it emptied?"))


class DressingForm(Folded):
    """Stones that were taken apart: grooves re-cut, a new pin, or other stones."""

    main_act = _("Log it")
    unmarked = ("upper", "lower", "pin")

    pair = pair_field()
    what = ChoiceStrip(label=_("What was done?"), choices=(
        ("dressed", _("grooves re-cut")), ("pin", _("new pin")), ("stones", _("other stones")),
    ))
    upper = WordsField(label=_("Number of the upper stone, if it is another"), max_length=24)
    lower = WordsField(label=_("Number of the lower stone, if it is another"), max_length=24)
    pin = WordsField(label=_("Number of the pin, if it is another"), max_length=24)
    happened_at = happened_field(_("When was it done?"))

    def clean(self) -> dict[str, Any]:
        """Other stones have other numbers."""
        facts = super().clean() or self.cleaned_data
        if facts.get("what") == "stones" and not (facts.get("upper") or facts.get("lower")):
            self.add_error("upper", gettext("Which stones run now? Type the number of the one that is new."))
        return facts
