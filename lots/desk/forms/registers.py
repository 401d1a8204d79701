"""Forms of the registers, made from the fields of each table, with words for every one of them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.plain import WordsField, pick
from lots.desk.words import language
from lots.models import Register
from lots.models.fields import SealedField
from lots.read.names import opened
from lots.read.registers import in_force
from lots.record.registers import KINDS, POINTERS
from lots.trade.numbers import read_number

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
    "equipment": Kind(_("Machines"), _("machine"), _("Code on the tag")),
    "stone_pair": Kind(_("Stone pairs"), _("stone pair"), _("Code on the tag")),
    "screen": Kind(_("Screens"), _("screen"), _("Code on the frame")),
    "scale": Kind(_("Scales"), _("scale"), _("Code")),
    "product": Kind(_("Products"), _("product"), _("Code")),
    "stage_expectation": Kind(_("What a stage usually loses"), _("expectation"), _("Stage")),
    "moisture_rule": Kind(_("How well moisture is known"), _("rule"), _("Material or class")),
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
    "loss_frac": _("Usual loss, per cent of dry input"), "sd_frac": _("Its scatter, per cent of dry input"),
    "lot_count": _("Learned from so many lots"), "u_moisture_frac": _("Standard uncertainty, per cent"),
    "assumed_frac": _("Assumed where nobody measures, per cent wet basis"), "retired": _("Out of use"),
})
#: What is typed in another unit than the book keeps: factor from typed to kept.
TYPED_IN: MappingProxyType[str, tuple[Decimal, str]] = MappingProxyType({
    "division_mg": (Decimal(1_000), "g"), "interval_mg": (Decimal(1_000), "g"), "u_repeat_mg": (Decimal(1_000), "g"),
    "net_mg": (Decimal(1_000), "g"), "capacity_mg": (Decimal(1_000_000), "kg"),
    "moisture_ceiling_frac": (Decimal("0.01"), "%"), "loss_frac": (Decimal("0.01"), "%"), "sd_frac": (Decimal("0.01"), "%"),
    "u_moisture_frac": (Decimal("0.01"), "%"), "assumed_frac": (Decimal("0.01"), "%"),
})
STATES: MappingProxyType[str, Words] = MappingProxyType({
    "organic": _("organic"), "in conversion": _("in conversion"), "conventional": _("conventional"),
    "valley": _("the valley only"), "plot": _("the plot"), "plot and grower": _("the plot and the grower"),
    "oven": _("oven"), "sorter": _("sorting line"), "stone_pair": _("stone pair"), "sieve": _("sieve"), "filler": _("filler"),
    "tin": _("tin"), "bag": _("bag"), "stick": _("stick"),
})
CLASSES = tuple((name, name) for name in ("I", "II", "III", "IIII"))
NOT_ASKED = frozenset({"id", "entry", "code", "version", "valid_from_at"})
PLACES_MOST = 6
SEALED_SIGNS_MAX = 200
NO, YES = "no", "yes"
HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "roles": _("grower, consignee, carrier or laboratory; several with a space between."),
    "login": _("What this person types at the door."),
})


class NumberField(forms.CharField):
    """A number of a register, read as generously as a weight, kept in the book's own unit. What stood before is shown."""

    default_error_messages = {"required": _("Type the figure.")}

    def __init__(self, *, factor: Decimal = Decimal(1), unit: str = "", whole: bool = False, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.factor, self.unit, self.whole = factor, unit, whole
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> Decimal | int | None:
        """Return the number in the book's unit."""
        typed = super().clean(value)
        if not typed:
            return None
        kept = self.read(typed) * self.factor
        if self.whole and kept != kept.to_integral_value():
            raise ValidationError(gettext("%(typed)s is finer than this register keeps.") % {"typed": typed}, code="fine")
        return int(kept) if self.whole else kept

    def read(self, typed: str) -> Decimal:
        """Return the figure; a point is the decimal mark here, as it is shown, and only a comma alone is asked about."""
        reading = read_number(typed, PLACES_MOST, None, self.unit, language())
        if reading.value is None and reading.candidates and "," not in typed:
            return min(reading.candidates)
        if reading.value is None:
            raise ValidationError(reading.question or reading.refusal, code="number")
        return reading.value

    def shown(self, kept: Any) -> str:
        """Return a kept number as it would be typed."""
        return "" if kept is None else f"{(Decimal(kept) / self.factor).normalize():f}"


class RegisterForm(ActForm):
    """One entry of a register: a new thing, or a new version of one."""

    main_act = _("Write it into the register")
    code = WordsField(label=_("Code"), required=True, max_length=24)

    def __init__(self, *args: Any, table: str, stands: Register | None = None, **kwargs: Any) -> None:
        self.model = KINDS[table]
        super().__init__(*args, **kwargs)
        self.table, self.stands = table, stands
        self.fields["code"].label = REGISTERS[table].code
        if stands is not None or table == "house":
            del self.fields["code"]
        for field in asked(self.model):
            self.fields[field.name] = form_field(field)
        if stands is None:
            self.fields.pop("retired", None)
            self.propose()
        else:
            self.fill(stands)

    def propose(self) -> None:
        """Show what a new thing has while nobody says otherwise."""
        for model_field in asked(self.model):
            field = self.fields.get(model_field.name)
            if field is not None and model_field.has_default() and not model_field.blank:
                default = model_field.get_default()
                field.initial = field.shown(default) if isinstance(field, NumberField) else answer_of(default)

    def fill(self, stands: Register) -> None:
        """Show the version that stands; a register's facts are no readings, so they may be filled in."""
        sealed = opened(str(getattr(stands, f.name)) for f in asked(self.model) if isinstance(f, SealedField))
        for model_field in asked(self.model):
            field, value = self.fields[model_field.name], getattr(stands, model_field.name)
            if isinstance(field, NumberField):
                field.initial = field.shown(value)
            elif isinstance(model_field, SealedField):
                field.initial = sealed.get(value, "")
            else:
                field.initial = value.code if isinstance(value, Register) else answer_of(value)

    def clean_code(self) -> str:
        """A new thing has a code that nothing has yet."""
        code: str = self.cleaned_data["code"]
        taken = self.model.objects.filter(code__iexact=code).exclude(entry__act_id=self.act_id)  # type: ignore[attr-defined]
        if taken.exists():
            raise ValidationError(gettext("%(code)s is in the register already. Open it and enter a new version.") % {"code": code})
        return code

    @property
    def entry_code(self) -> str:
        """The code under which this is entered."""
        if self.table == "house":
            return "HOUSE"
        return self.stands.code if self.stands else str(self.cleaned_data["code"])

    @property
    def values(self) -> dict[str, Any]:
        """The fields as the recorder takes them."""
        known = {field.name: field for field in asked(self.model)}
        given = {name: value for name, value in self.cleaned_data.items() if name in known}
        return {name: kept(known[name], value) for name, value in given.items()}


def asked(model: type[Register]) -> list[models.Field[Any, Any]]:
    """Return the fields of a register that a person answers, whether it is out of use last."""
    found = [field for field in model._meta.concrete_fields if field.name not in NOT_ASKED]
    return sorted(found, key=lambda field: field.name == "retired")


def kept(field: models.Field[Any, Any], value: Any) -> Any:
    """Return an answer as the table keeps it: nothing typed is nothing known."""
    if isinstance(field, models.BooleanField):
        return value == YES
    if value in {"", None}:
        return field.get_default() if field.has_default() else None if field.null else ""
    return value


def answer_of(value: Any) -> Any:
    """Return a value of the table as the form's answer."""
    return (YES if value else NO) if isinstance(value, bool) else value


def form_field(field: models.Field[Any, Any]) -> forms.Field:
    """Return the form's field for a field of a register."""
    label, required = LABELS.get(field.name, field.name), not (field.null or field.blank)
    if field.is_relation:
        return pick(label, choices_of(pointed_at(field.name)), required=required)
    if field.name == "accuracy_class":
        return pick(label, CLASSES)
    if field.choices:
        return pick(label, [(value, STATES.get(value, value)) for value, _words in field.choices])
    if isinstance(field, models.BooleanField):
        return pick(label, ((NO, _("no")), (YES, _("yes"))))
    if isinstance(field, (models.IntegerField, models.DecimalField)):
        factor, unit = TYPED_IN.get(field.name, (Decimal(1), ""))
        return NumberField(label=label, required=required, factor=factor, unit=unit, whole=isinstance(field, models.IntegerField))
    hint = HINTS.get(field.name, "")
    most = SEALED_SIGNS_MAX if isinstance(field, SealedField) else field.max_length
    return WordsField(label=label, required=required, help_text=hint, max_length=most)


def pointed_at(name: str) -> list[Register]:
    """Return what a field of a register can point at; a grower is a party that is one."""
    rows = list(in_force(POINTERS[name]))
    return [row for row in rows if "grower" in getattr(row, "roles", "").split()] if name == "grower" else rows


def choices_of(rows: list[Register]) -> list[tuple[str, str]]:
    """Return code and words of things of a register."""
    sealed = opened(str(getattr(row, "name", "")) for row in rows)
    return [(row.code, words_of(row, sealed)) for row in rows]


def words_of(row: Register, sealed: dict[str, str]) -> str:
    """Return a thing in words: its code and its name."""
    name = str(getattr(row, "name", "") or "")
    said = sealed.get(name, "" if len(name) == 64 else name)
    return row.code if said in {"", row.code} else f"{row.code}, {said}"
