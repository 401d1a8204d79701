"""Forms with weighings: which scale stands here decides decimals and capacity of every mass; losses have a name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, Moisture, MomentField
from lots.desk.forms.seldom import Folded
from lots.desk.forms.widgets import one
from lots.desk.words import mass
from lots.models import Scale
from lots.record import lines
from lots.trade.units import kg_from_mg, number_text

FRAC_STEP = Decimal("0.00001")
READINGS_MOST = 500
#: So many weighings are thought of while nobody says how many: wide enough for a lot, and 1,234 is still read in one way.
READINGS_UNASKED = 50


def scale_words(scale: Scale) -> str:
    """Return a scale as the strip names it: "S3, to 12 kg"."""
    return gettext("%(code)s, to %(most)s kg") % {"code": scale.code, "most": number_text(kg_from_mg(scale.capacity_mg), 0)}


class WeighedForm(Folded):
    """A form with masses. ``on_scale`` names for each strip of scales the masses that were read there; ``counted_by``
    names the field that says in how many weighings a mass was read, where there is one."""

    on_scale: ClassVar[Mapping[str, Sequence[str]]] = {"scale": ()}
    counted_by: ClassVar[Mapping[str, str]] = {}

    def __init__(self, *args: Any, scales: Sequence[Scale] = (), usual: Mapping[str, str] | None = None, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.scales = {scale.code: scale for scale in scales}
        for strip, masses in self.on_scale.items():
            field = self.fields[strip]
            field.choices = [(scale.code, scale_words(scale)) for scale in scales]  # type: ignore[attr-defined]
            field.initial = (usual or {}).get(strip, "")
            field.required = bool(scales)
            self.set_masses(self.scales.get(self.chosen(strip)), masses)

    def chosen(self, strip: str) -> str:
        """Return the code of the scale that a strip shows as chosen."""
        return (one(self.data, strip) if self.is_bound else "") or str(self.fields[strip].initial or "")

    def set_masses(self, scale: Scale | None, masses: Sequence[str]) -> None:
        """Take decimals and capacity of masses from their scale, and say so beside them."""
        for name in masses:
            if scale is not None and name in self.fields:
                self.scale_places(name, scale.decimals_count, self.capacity_kg(scale, name))
                self.fields[name].help_text = net_words(scale)

    def capacity_kg(self, scale: Scale, name: str) -> Decimal | None:
        """Return what a mass can be at most: the scale's capacity, as often as it was read; a wide bound while nobody says."""
        if name not in self.counted_by:
            return kg_from_mg(scale.capacity_mg)
        typed = one(self.data, self.counted_by[name]) if self.is_bound else ""
        count = int(typed) if typed.isdecimal() and int(typed) else READINGS_UNASKED
        return kg_from_mg(scale.capacity_mg) * count

    @property
    def seldom_words(self) -> list[str]:
        """What is folded; a scale by its code, so that it is in sight."""
        return [f"{words} {self.chosen(name)}".strip() if name in self.on_scale else words for name, words in self.folded()]

    def folded(self) -> list[tuple[str, str]]:
        """Return the folded lines by name."""
        return [(line.field.name, str(self.seldom[line.field.name])) for line in self.seldom_lines]

    def clean(self) -> dict[str, Any]:
        """Ask in how many weighings a mass was read that no single one can be."""
        facts = super().clean() or self.cleaned_data
        for strip, masses in self.on_scale.items():
            scale = self.scales.get(facts.get(strip, ""))
            for name in masses:
                self.must_fit(scale, name)
        return facts

    def must_fit(self, scale: Scale | None, name: str) -> None:
        """Refuse a mass that is more than its scale weighs in so many weighings."""
        mass_mg, count = self.cleaned_data.get(name), self.count_of(name)
        if scale is None or mass_mg is None or mass_mg <= scale.capacity_mg * count:
            return
        msg = gettext("Scale %(scale)s weighs up to %(most)s kg at once. In how many weighings was it?") % {
            "scale": scale.code, "most": number_text(kg_from_mg(scale.capacity_mg), 0),
        }
        self.add_error(self.counted_by.get(name, name), ValidationError(msg, code="beyond"))

    def count_of(self, name: str) -> int:
        """Return in how many weighings a mass was read."""
        return self.cleaned_data.get(self.counted_by.get(name, "")) or 1

    def said(self, name: str) -> str:
        """Return a typed mass as its scale shows it, for the read-back."""
        scale = self.scales.get(self.cleaned_data.get(next(s for s, masses in self.on_scale.items() if name in masses), ""))
        return mass(self.cleaned_data.get(name) or 0, scale.decimals_count if scale else None)

    def weight(self, name: str, strip: str = "scale") -> lines.Weight:
        """Return a mass as the recorders take it; nothing typed is nothing weighed."""
        return lines.Weight(self.cleaned_data.get(name) or 0, self.cleaned_data.get(strip) or "", self.count_of(name))


def net_words(scale: Scale) -> str:
    """Return how a mass is read on a scale: "Net, as scale S3 shows it, three decimals."."""
    places = scale.decimals_count
    return ngettext(
        "Net, as scale %(scale)s shows it, %(places)d decimal.", "Net, as scale %(scale)s shows it, %(places)d decimals.", places,
    ) % {"scale": scale.code, "places": places}


def wet(given: Moisture | None, how: str = "measured") -> lines.Moisture | None:
    """Return a typed moisture as the recorders take it."""
    return None if given is None else lines.Moisture(given.wet_frac.quantize(FRAC_STEP), how)


def scale_strip() -> ChoiceStrip:
    """The scale that stands here; it is remembered for this desk."""
    return ChoiceStrip(label=_("Scale"))


def readings_field() -> CountField:
    """How often the scale was read; nothing typed is once."""
    return CountField(label=_("In how many weighings?"), required=False, most=READINGS_MOST, help_text=_("Leave it empty if it was one."))


def happened_field(label: Any) -> MomentField:
    """When it happened."""
    return MomentField(label=label)


class LossForm(WeighedForm):
    """A weighed form on which something may have been lost for a named reason."""

    LOSSES: ClassVar[tuple[tuple[str, Any], ...]] = (
        ("spill", _("spilt")), ("sweepings", _("swept up")), ("sample", _("taken as a sample")),
    )

    def clean(self) -> dict[str, Any]:
        """A loss has a name."""
        facts = super().clean()
        if facts.get("lost_mg") and not facts.get("lost_as"):
            self.add_error("lost_as", gettext("What became of it? Choose one."))
        return facts

    @property
    def losses(self) -> dict[str, lines.Weight]:
        """What was lost, by its name."""
        if not self.cleaned_data.get("lost_mg"):
            return {}
        strip = next(s for s, masses in self.on_scale.items() if "lost_mg" in masses)
        return {self.cleaned_data["lost_as"]: self.weight("lost_mg", strip)}


def lost_field() -> MassField:
    """What was lost for a named reason."""
    return MassField(label=_("Spilt, swept up or taken as a sample, in kilograms"), required=False)


def lost_as_field(choices: Sequence[tuple[str, Any]] = LossForm.LOSSES) -> ChoiceStrip:
    """The name of the loss."""
    return ChoiceStrip(label=_("What became of it?"), required=False, choices=choices)
