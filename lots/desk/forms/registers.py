"""Forms of the registers, made from the fields of each table, with words for every one of them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.plain import DayField, WordsField, pick
from lots.desk.forms.register_words import HINTS, LABELS, REGISTERS, STATES, TYPED_IN
from lots.desk.words import language
from lots.models import Register
from lots.models.fields import SealedField
from lots.read.names import opened
from lots.read.registers import in_force
from lots.record.registers import KINDS, POINTERS
from lots.trade.numbers import read_number

CLASSES = tuple((name, name) for name in ("I", "II", "III", "IIII"))
NOT_ASKED = frozenset({"id", "entry", "code", "version", "valid_from_at"})
PLACES_MOST = 6
SEALED_SIGNS_MAX = 200
OUTLINE_SIGNS_MAX, OUTLINE_ROWS = 8_000, 6
NO, YES = "no", "yes"


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
        return pick(label, [(value, STATES.get(value, value)) for value, _words in field.choices], required=required)
    if isinstance(field, models.BooleanField):
        return pick(label, ((NO, _("no")), (YES, _("yes"))))
    if isinstance(field, (models.IntegerField, models.DecimalField)):
        factor, unit = TYPED_IN.get(field.name, (Decimal(1), ""))
        return NumberField(label=label, required=required, factor=factor, unit=unit, whole=isinstance(field, models.IntegerField))
    if isinstance(field, models.DateField):
        return DayField(label=label, required=required)
    hint = HINTS.get(field.name, "")
    if field.name == "outline":
        return WordsField(label=label, help_text=hint, max_length=OUTLINE_SIGNS_MAX, widget=forms.Textarea({"rows": OUTLINE_ROWS}))
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
