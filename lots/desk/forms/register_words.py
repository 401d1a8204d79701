"""The registers in words: what each is called, and what each of its fields is."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.check_words import CHECK_HINTS, CHECK_LABELS, CHECK_STATES, CHECK_TYPED_IN
from lots.desk.forms.field_register_words import FIELD_HINTS, FIELD_LABELS, FIELD_STATES, FIELD_TYPED_IN
from lots.desk.forms.goods_words import GOODS_HINTS, GOODS_LABELS, GOODS_STATES
from lots.desk.forms.limit_words import LIMIT_HINTS, LIMIT_LABELS, LIMIT_STATES
from lots.desk.forms.office_words import OFFICE_HINTS, OFFICE_LABELS, OFFICE_STATES

Words = str | Promise


@dataclass(frozen=True, slots=True)
class Kind:
    """A register in words: its title, the name of one entry, and what its code is."""

    title: Words
    one: Words
    code: Words


REGISTERS: MappingProxyType[str, Kind] = MappingProxyType({
    "party": Kind(_("Growers, buyers, carriers"), _("grower, buyer or carrier"), _("Code")),
    "staff": Kind(_("Staff and badges"), _("badge"), _("Badge")),
    "cultivar": Kind(_("Cultivars"), _("cultivar"), _("Code")),
    "field_plot": Kind(_("Plots"), _("plot"), _("Code on the card")),
    "planting": Kind(_("Plantings"), _("planting"), _("Code")),
    "plot_neighbour": Kind(_("Neighbours of plots"), _("neighbour of a plot"), _("Code")),
    "equipment": Kind(_("Machines"), _("machine"), _("Code on the tag")),
    "stone_pair": Kind(_("Stone pairs"), _("stone pair"), _("Code on the tag")),
    "screen": Kind(_("Screens"), _("screen"), _("Code on the frame")),
    "scale": Kind(_("Scales"), _("scale"), _("Code")),
    "place": Kind(_("Shelves"), _("shelf"), _("Code on the shelf")),
    "product": Kind(_("Products"), _("product"), _("Code")),
    "sales_unit": Kind(_("Sales units"), _("sales unit"), _("Code")),
    "label_version": Kind(_("Words of labels"), _("label"), _("Code on the roll")),
    "stage_expectation": Kind(_("What a stage usually loses"), _("expectation"), _("Stage")),
    "moisture_rule": Kind(_("How well moisture is known"), _("rule"), _("Material or class")),
    "party_contact": Kind(_("Contacts of growers and buyers"), _("contact"), _("Code")),
    "lot_rule": Kind(_("What makes one lot"), _("lot rule"), _("Material, or ALL")),
    "retention_rule": Kind(_("How long records are kept"), _("retention rule"), _("Code")),
    "authorisation": Kind(_("Who may enter what"), _("authorisation"), _("Code")),
    "recall_team": Kind(_("The recall team"), _("task of the recall team"), _("Code")),
    "authority_contact": Kind(_("Authorities to call"), _("authority"), _("Code")),
    "limit_row": Kind(_("Limits of results"), _("limit"), _("Code")),
    "release_rule": Kind(_("What a release asks for"), _("release rule"), _("Market, or ALL")),
    "test_piece": Kind(_("Test pieces of detectors"), _("test piece"), _("Code on the piece")),
    "check_weight": Kind(_("Check weights"), _("check weight"), _("Code on the weight")),
    "climate_band": Kind(_("Climate of rooms"), _("room"), _("Code of the room")),
    "stone": Kind(_("Stones and pins"), _("stone or pin"), _("Number on the stone")),
    "certificate": Kind(_("Certificates of suppliers"), _("certificate"), _("Code")),
    "packaging_item": Kind(_("Packaging"), _("kind of packaging"), _("Code")),
    "house": Kind(_("The house"), _("house"), _("Code")),
})

LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "name": _("Name"), "name_ja": _("Name in Japanese"), "address": _("Address, as it is printed"),
    "contact": _("How to reach them"), "moisture_ceiling_frac": _("Highest moisture of powder, per cent wet basis"),
    "keeping": _("How to keep the tea, as packs say it"), "keeping_ja": _("The same in Japanese"),
    "invented": _("The data of this book is invented"), "roles": _("What they are to the house"),
    "login": _("Name of the account"), "registered_as": _("Registered as"), "source": _("Read where"),
    "area_a": _("Area, in ares"), "altitude_m": _("Altitude, in metres"), "planted_year": _("Planted in the year"),
    "state": _("State"), "grower": _("Grower"), "place": _("Exact place"), "valley": _("Valley, as packs say it"),
    "disclosed": _("What a pack's page may say"), "plot": _("Plot"), "cultivar": _("Cultivar"), "kind": _("Kind"),
    "equipment": _("Machine"), "upper": _("Upper stone"), "lower": _("Lower stone"), "pin": _("Pin"),
    "dressed_h": _("Hours on this dressing so far"), "aperture_um": _("Width of the openings, in µm"),
    "division_mg": _("Division d, in grams"), "interval_mg": _("Verification interval e, in grams"),
    "u_repeat_mg": _("Repeatability, standard deviation in grams"), "accuracy_class": _("Accuracy class"),
    "capacity_mg": _("Capacity, in kilograms"), "decimals_count": _("Decimals of a kilogram that it shows"),
    "net_mg": _("Net content, in grams"), "keeps_days": _("Keeps for, in days"),
    "keeps_months": _("Keeps for, in months; 0 where days count"), "keeps_from": _("Its time begins with"),
    "best_before_form": _("Best before is printed as"), "sample_days": _("Kept samples stay longer by, in days"),
    "product": _("Product"), "ingredients": _("Ingredients"), "origin": _("Where the crude tea was made, as the label says"),
    "origin_valley": _("Place that the label names"), "origin_claim": _("How it names the place"),
    "storage": _("How to keep it, as the label says"),
    "business": _("Business and its address, as the label says"), "claims": _("Claims that are meant"), "checked_by": _("Checked by"),
    "loss_frac": _("Usual loss, per cent of dry input"), "sd_frac": _("Its scatter, per cent of dry input"),
    "lot_count": _("Learned from so many lots"), "u_moisture_frac": _("Standard uncertainty, per cent"),
    "assumed_frac": _("Assumed where nobody measures, per cent wet basis"), "retired": _("Out of use"), **OFFICE_LABELS,
    "control_body": _("Control body of the organic certificate, name or code"),
    "holds": _("Smaller unit that it holds, where it holds no packs"), "held_count": _("How many of these it holds"),
    "site": _("Site"), "room": _("Room"), "shelf": _("Shelf"), "cold": _("The room is cooled"),
    **FIELD_LABELS, **LIMIT_LABELS, **GOODS_LABELS, **CHECK_LABELS,
})
#: What is typed in another unit than the book keeps: factor from typed to kept.
TYPED_IN: MappingProxyType[str, tuple[Decimal, str]] = MappingProxyType({
    "division_mg": (Decimal(1_000), "g"), "interval_mg": (Decimal(1_000), "g"), "u_repeat_mg": (Decimal(1_000), "g"),
    "net_mg": (Decimal(1_000), "g"), "capacity_mg": (Decimal(1_000_000), "kg"),
    "moisture_ceiling_frac": (Decimal("0.01"), "%"), "loss_frac": (Decimal("0.01"), "%"), "sd_frac": (Decimal("0.01"), "%"),
    "u_moisture_frac": (Decimal("0.01"), "%"), "assumed_frac": (Decimal("0.01"), "%"),
    **FIELD_TYPED_IN, **CHECK_TYPED_IN,
})
STATES: MappingProxyType[str, Words] = MappingProxyType({
    "organic": _("organic"), "in conversion": _("in conversion"), "conventional": _("conventional"),
    "valley": _("the valley only"), "plot": _("the plot"), "plot and grower": _("the plot and the grower"),
    "oven": _("oven"), "sorter": _("sorting line"), "stone_pair": _("stone pair"), "sieve": _("sieve"), "filler": _("filler"),
    **CHECK_STATES,
    "mixer": _("mixer"),
    "packing": _("packing"), "milling": _("milling"), "day": _("a day"), "month": _("year and month"),
    "none": _("no place is named"), "whole": _("all of the leaf is from there"), "blend": _("a blend, at least half is from there"),
    "tin": _("tin"), "bag": _("bag"), "stick": _("stick"), **OFFICE_STATES, **FIELD_STATES, **LIMIT_STATES,
    **GOODS_STATES,
})
HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "claims": _("organic, single cultivar, single plot; several with a comma between."),
    "roles": _("grower, refiner, supplier, consignee, bill-to, owner, carrier or laboratory; several with a space between."),
    "login": _("What this person types at the door."), **OFFICE_HINTS, **FIELD_HINTS, **LIMIT_HINTS, **GOODS_HINTS, **CHECK_HINTS,
})
