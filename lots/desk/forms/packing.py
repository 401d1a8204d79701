"""Tins and bags: several series of packs from whole lots of powder."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, MeasureField, MoistureField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import Answers, DayField, RefMixin, pick, put_answers, ref_field
from lots.desk.forms.weighing import LossForm, happened_field, lost_as_field, lost_field, scale_strip
from lots.models import Product
from lots.read.waiting import SeriesHere
from lots.record.packing import Closed, Series
from lots.trade.units import g_text

LOSSES = (
    ("spoiled", _("spoiled packs")), ("spill", _("spilt")), ("sweepings", _("swept up")), ("sample", _("taken as a sample")),
)
FIRST = ("lots",)
GASES = (("air", _("air")), ("nitrogen", _("nitrogen")), ("oxygen absorber", _("an oxygen absorber")))


class PackingForm(RefMixin, LossForm):
    """For each product a count and what the packs weigh together; then kept samples, bulk left, what was lost."""

    main_act = _("Write the packing down")
    on_scale = {"scale": ("kept_mg", "bulk_mg", "lost_mg")}
    seldom = {
        "moisture": _("moisture"), "lost_mg": _("what was lost"), "lost_as": _("its name"), "filler": _("filler"),
        "packed_on": _("day of packing"), "scale": _("scale"), "maker_ref": _("own number"), "room_rh": _("damp of the room"),
        "gas": _("gas"), "oxygen": _("oxygen left"),
    }

    lots = ManyScanField(label=_("Scan the lots of powder"), kinds=("lot", "name"))
    kept_count = CountField(label=_("Kept samples, packs"), most=10_000, required=False)
    kept_mg = MassField(label=_("Kept samples together, net, in kilograms"), places=3, required=False)
    bulk_mg = MassField(label=_("Powder left in bulk, in kilograms; 0 if there is none"), places=3)
    lost_mg = lost_field()
    moisture = MoistureField(label=_("Moisture of the powder, if it was measured again"), required=False)
    lost_as = lost_as_field(LOSSES)
    kept_product = ChoiceStrip(label=_("The kept samples are"), required=False)
    packed_on = DayField(label=_("Packed on, as the label says"))
    room_rh = MeasureField(label=_("Relative humidity of the room"), unit="%", places=0, most=100, required=False)
    gas = ChoiceStrip(label=_("Over the powder in a pack"), required=False, choices=GASES)
    oxygen = MeasureField(label=_("Oxygen left in a pack that was measured"), unit="%", places=1, most=21, required=False)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the packs"))
    happened_at = happened_field(_("When was it done?"))

    def __init__(self, *args: Any, products: Sequence[Product] = (), filler: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.products = list(products)
        for product in products:
            self.add_product(product)
        self.order_fields([*FIRST, *(n for p in products for n in names(p.code)), *self.base_fields])
        choices = [(p.code, self.packs_words(p)) for p in products]
        self.fields["kept_product"] = pick(_("The kept samples are"), choices, required=False)
        put_answers(self, "filler", _("Filler"), filler)
        scale = self.scales.get(self.chosen("scale"))
        self.set_masses(scale, [names(p.code)[1] for p in products])

    @property
    def unmarked(self) -> list[str]:
        """What was not packed stays empty."""
        return [name for product in self.products for name in names(product.code)] + ["kept_count", "kept_mg", "kept_product"]

    def add_product(self, product: Product) -> None:
        """Add the two lines of a product."""
        count, mass = names(product.code)
        what = {"packs": self.packs_words(product)}
        self.fields[count] = CountField(label=gettext("%(packs)s, how many") % what, most=1_000_000, required=False)
        label = gettext("%(packs)s together, net, in kilograms") % what
        self.fields[mass] = MassField(label=label, places=3, required=False)

    def packs_words(self, product: Product) -> str:
        """Return packs by kind and net content: "Tins of 30 g"; by name where two products would read alike."""
        alike = [p for p in self.products if (p.kind, p.net_mg) == (product.kind, product.net_mg)]
        return packs_of(product) if len(alike) == 1 else product.name

    def capacity_kg(self, scale: Any, name: str) -> Any:
        """Packs are weighed in trays: their sum has no upper end."""
        return None if name.startswith("mass_") or name == "kept_mg" else super().capacity_kg(scale, name)

    def must_fit(self, scale: Any, name: str) -> None:
        """The sum of trays fits; bulk and losses are one weighing."""
        if not name.startswith("mass_") and name != "kept_mg":
            super().must_fit(scale, name)

    def clean(self) -> dict[str, Any]:
        """A count without a mass, or a mass without a count, is half a series."""
        facts = super().clean()
        for count, mass in (*(names(p.code) for p in self.products), ("kept_count", "kept_mg")):
            self.both_or_none(facts, count, mass)
        if facts.get("kept_count") and not facts.get("kept_product"):
            self.add_error("kept_product", gettext("Say which packs are kept."))
        if not self.errors and not self.series:
            self.add_error(None, gettext("No packs were typed. How many were filled?"))
        return facts

    def both_or_none(self, facts: dict[str, Any], count: str, mass: str) -> None:
        """Ask for the missing half of a series."""
        if facts.get(count) and not facts.get(mass) and mass not in self.errors:
            self.add_error(mass, gettext("What do these packs weigh together?"))
        if facts.get(mass) and not facts.get(count) and count not in self.errors:
            self.add_error(count, gettext("How many packs are that?"))

    @property
    def closed(self) -> Closed:
        """What the packs were closed in."""
        facts, part = self.cleaned_data, Decimal(100)
        rh, oxygen = facts.get("room_rh"), facts.get("oxygen")
        return Closed(None if rh is None else rh / part, facts.get("gas") or "", None if oxygen is None else oxygen / part)

    @property
    def series(self) -> list[Series]:
        """The series that were typed, in the order of the form; the samples last."""
        facts = self.cleaned_data
        made = [
            Series(p.code, facts[count], self.weight_of(mass, facts[count]))
            for p in self.products
            for count, mass in (names(p.code),)
            if facts.get(count) and facts.get(mass)
        ]
        if facts.get("kept_count") and facts.get("kept_mg") and facts.get("kept_product"):
            made.append(Series(facts["kept_product"], facts["kept_count"], self.weight_of("kept_mg", facts["kept_count"]), retained=True))
        return made

    def weight_of(self, name: str, pack_count: int) -> Any:
        """Return what packs weigh together, read in as few trays as the scale needs, one pack at least in each."""
        weight = self.weight(name)
        scale = self.scales.get(weight.scale)
        trays = -(-weight.mass_mg // scale.capacity_mg) if scale else 1
        return type(weight)(weight.mass_mg, weight.scale, max(1, min(trays, pack_count)))


def packs_of(product: Product | SeriesHere) -> str:
    """Return packs of a product by kind and net content: "Tins of 30 g"."""
    kinds = {"tin": gettext("Tins of %(net)s"), "bag": gettext("Bags of %(net)s"), "stick": gettext("Sticks of %(net)s")}
    return kinds.get(product.kind, "%(net)s") % {"net": g_text(product.net_mg)}


def names(code: str) -> tuple[str, str]:
    """Return the names of the two lines of a product."""
    return f"count_{code}", f"mass_{code}"
