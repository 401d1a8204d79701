"""Fields that read what hands type and scanners send. Each answers with a sentence, and keeps what was typed."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from lots.codes.links import code_from_scan, kind_of
from lots.codes.signs import fold
from lots.desk.forms.moments import MomentField
from lots.desk.forms.widgets import FigureLine, MoistureLine, ScanTicket, Strip, Typed, TypedMoisture
from lots.trade.language import Refused
from lots.trade.moisture import Basis, per_100, wet_frac_from
from lots.trade.numbers import Reading, read_count, read_hours, read_moisture, read_number
from lots.trade.units import kg_from_mg, mg_from_g, mg_from_kg, number_text

__all__ = [
    "ChoiceStrip", "CountField", "FigureField", "HoursField", "MassField", "MeasureField", "Moisture", "MoistureField",
    "MomentField", "ReasonField", "ScanField", "Scanned",
]
NAME_SIGNS_MAX = 40


@dataclass(frozen=True, slots=True)
class Scanned:
    """What was scanned or typed: ``kind`` "lot", "pack" or "name" (machine, plot, person, the maker's own reference);
    ``code`` folded for lots and packs, capitals without outer spaces for names; ``typed`` as it came."""

    kind: str
    code: str
    typed: str

    @property
    def folded(self) -> str:
        """The text as codes are compared: no hyphens, O read as 0, I and L as 1."""
        return fold(self.typed)


@dataclass(frozen=True, slots=True)
class Moisture:
    """A moisture as the book keeps it (kg water per kg wet) with what was typed, per 100 of its basis."""

    wet_frac: Decimal
    basis: Basis
    typed: Decimal


def language() -> str:
    """Return the language of the page."""
    return get_language() or "en"


class ScanField(forms.Field):
    """A lot, a pack, a machine, a plot: scanned or typed in any spelling. ``kinds`` says what is wanted here."""

    part: ClassVar[str] = "scan"
    never_filled: ClassVar[bool] = False
    widget = ScanTicket
    default_error_messages = {
        "required": _("Nothing was scanned. Scan the code, or type it."),
        "long": _("That is longer than any code here. Scan it again."),
        "lot": _("%(typed)s is no lot code of ours. Look at the label and scan it again; one sign may be worn."),
        "pack": _("%(typed)s is no pack code of ours. Look at the pack and scan it again; one sign may be worn."),
        "name": _("%(typed)s is the code of a lot or pack. Something else is wanted here."),
    }

    def __init__(self, *, kinds: Sequence[str] = ("lot", "pack", "name"), **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("Or type it. Enter moves on."))
        super().__init__(**kwargs)
        self.kinds = tuple(kinds)

    def to_python(self, value: Any) -> Scanned | None:
        """Return what the text is the code of."""
        typed = str(value or "").strip()
        if not typed:
            return None
        kind = kind_of(typed)
        if kind:
            return Scanned(kind, code_from_scan(typed) or "", typed)
        return Scanned("name", unicodedata.normalize("NFKC", typed).strip().upper(), typed)

    def validate(self, value: Any) -> None:
        """Refuse what cannot be a code, and a code of the wrong kind."""
        super().validate(value)
        if value is None:
            return
        if value.kind == "name" and len(value.code) > NAME_SIGNS_MAX:
            raise ValidationError(self.error_messages["long"], code="long")
        if value.kind not in self.kinds:
            wanted = "name" if value.kind != "name" and "name" in self.kinds else self.kinds[0]
            raise ValidationError(self.error_messages[wanted], code=wanted, params={"typed": value.typed})


class FigureField(forms.Field):
    """A figure that a person reads off something. Never filled in beforehand."""

    part: ClassVar[str] = "figure"
    never_filled: ClassVar[bool] = True

    def __init__(self, *, unit: Any = "", widget: forms.Widget | None = None, **kwargs: Any) -> None:
        super().__init__(widget=widget or FigureLine(unit), **kwargs)

    def read(self, typed: Any) -> Reading:
        """Return what the text means."""
        raise NotImplementedError

    def kept(self, value: Decimal, typed: Any) -> Any:
        """Return the figure as the book keeps it."""
        raise NotImplementedError

    def shown(self, value: Any) -> str:
        """Return a figure of an earlier time as the hint beside the field says it."""
        return str(value)

    def offered(self, value: Decimal) -> str:
        """Return one reading of an ambiguous figure as a person is asked about it."""
        return f"{value:f}"

    def to_python(self, value: Any) -> Any:
        """Return the figure, or ask, or refuse with a sentence."""
        typed = value if isinstance(value, Typed) else Typed(str(value or "").strip())
        if not typed.text and not self.required:
            return None
        reading = self.read(typed)
        if reading.value is not None:
            return self.kept(reading.value, typed)
        meant = chosen(typed.meant, reading.candidates)
        if meant is not None:
            return self.kept(meant, typed)
        raise ValidationError(
            reading.question or reading.refusal, code="asked" if reading.question else "refused",
            params={"candidates": [(f"{c:f}", self.offered(c)) for c in reading.candidates]},
        )

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Tell whether anything was typed."""
        return bool(getattr(data, "text", data))


def chosen(meant: str, candidates: Sequence[Decimal]) -> Decimal | None:
    """Return the reading that the person chose, if it is one of those offered."""
    try:
        value = Decimal(meant)
    except InvalidOperation:
        return None
    return value if value in candidates else None


class MassField(FigureField):
    """A mass as a scale shows it, typed in kg (or g); cleaned to whole mg. ``capacity`` is the scale's, in the same unit."""

    def __init__(self, *, places: int = 2, capacity: Decimal | int | None = None, capacity_kg: Decimal | int | None = None,
                 unit: str = "kg", **kwargs: Any) -> None:
        super().__init__(unit=unit, **kwargs)
        self.unit = unit
        self.set_scale(places, capacity if capacity is not None else capacity_kg)

    def set_scale(self, places: int, capacity: Decimal | int | None = None) -> None:
        """Take decimals and capacity (in the field's unit) from the scale that the page knows."""
        self.places = places
        self.capacity = capacity

    def read(self, typed: Any) -> Reading:
        """Read it as the scale would show it."""
        return read_number(typed.text, self.places, self.capacity, self.unit, language())

    def kept(self, value: Decimal, typed: Any) -> int:
        """Return whole mg."""
        return mg_from_kg(value) if self.unit == "kg" else mg_from_g(value)

    def shown(self, value: Any) -> str:
        """Return an earlier mass (mg) with the decimals of the scale, without its unit."""
        if isinstance(value, str):
            return value
        return number_text(kg_from_mg(value) * (1 if self.unit == "kg" else 1000), self.places, language=language())

    def offered(self, value: Decimal) -> str:
        """Return a reading with its unit."""
        return f"{value:f}\u00a0{self.unit}"


class CountField(FigureField):
    """A count of whole things: tins, bags, labels."""

    def __init__(self, *, most: int = 1_000_000, unit: Any = "", **kwargs: Any) -> None:
        super().__init__(unit=unit, **kwargs)
        self.most = most
        self.widget.attrs["inputmode"] = "numeric"

    def read(self, typed: Any) -> Reading:
        """Read a whole number."""
        return read_count(typed.text, self.most, language())

    def kept(self, value: Decimal, typed: Any) -> int:
        """Return the count."""
        return int(value)


class HoursField(FigureField):
    """Hours, also as hours and minutes: 22.5 and 22:30 are the same. Cleaned to a Decimal of hours."""

    def __init__(self, *, most: int = 9_999, **kwargs: Any) -> None:
        super().__init__(unit=_("hours"), **kwargs)
        self.most = most

    def read(self, typed: Any) -> Reading:
        """Read hours."""
        return read_hours(typed.text, self.most, language())

    def kept(self, value: Decimal, typed: Any) -> Decimal:
        """Return hours."""
        return value


class MeasureField(FigureField):
    """Any other measured figure (°C, mm, cm, %) with its own decimals; cleaned to a Decimal in that unit."""

    def __init__(self, *, unit: str, places: int = 1, most: Decimal | int | None = None, **kwargs: Any) -> None:
        super().__init__(unit=unit, **kwargs)
        self.unit, self.places, self.most = unit, places, most

    def read(self, typed: Any) -> Reading:
        """Read the figure."""
        return read_number(typed.text, self.places, self.most, self.unit, language())

    def kept(self, value: Decimal, typed: Any) -> Decimal:
        """Return the figure."""
        return value


class MoistureField(FigureField):
    """A moisture with its basis; both bases are shown at once. Cleaned to a `Moisture`.

    ``usual`` preselects a basis, and only where a rule of the house gives it.
    """

    BASES = ((Basis.WET.value, _("per 100 wet")), (Basis.DRY.value, _("per 100 dry")))
    default_error_messages = {"basis": _("Say whether %(typed)s is per 100 wet or per 100 dry.")}

    def __init__(self, *, usual: Basis | None = None, **kwargs: Any) -> None:
        super().__init__(widget=MoistureLine(self.BASES, usual.value if usual else ""), **kwargs)

    def read(self, typed: Any) -> Reading:
        """Read the figure on its basis."""
        return read_moisture(typed.text, self.basis_of(typed), language())

    def basis_of(self, typed: Any) -> Basis:
        """Return the basis, or ask for it."""
        basis = typed.basis if isinstance(typed, TypedMoisture) else ""
        if basis not in {b.value for b in Basis}:
            raise ValidationError(self.error_messages["basis"], code="basis", params={"typed": typed.text})
        return Basis(basis)

    def to_python(self, value: Any) -> Moisture | None:
        """Return the moisture; an empty required line says so before it asks for a basis."""
        if self.required and not getattr(value, "text", value):
            value = TypedMoisture(basis=Basis.WET.value)
        moisture: Moisture | None = super().to_python(value)
        return moisture

    def kept(self, value: Decimal, typed: Any) -> Moisture:
        """Return the moisture as the book keeps it."""
        basis = self.basis_of(typed)
        try:
            return Moisture(wet_frac_from(value, basis), basis, value)
        except Refused as refusal:
            raise ValidationError(refusal.text(language()), code="refused") from refusal

    def shown(self, value: Any) -> str:
        """Return an earlier moisture (wet fraction) on the wet basis."""
        return value if isinstance(value, str) else number_text(per_100(float(value), Basis.WET), 1, language=language())


class ChoiceStrip(forms.ChoiceField):
    """Up to seven answers, all in sight."""

    part: ClassVar[str] = "rest"
    never_filled: ClassVar[bool] = False
    widget = Strip
    default_error_messages = {
        "required": _("Choose one."),
        "invalid_choice": _("%(value)s is not one of the answers. Choose again."),
    }


class ReasonField(forms.CharField):
    """Why something was done, in the person's own words."""

    default_error_messages = {"required": _("Say why, in a few words.")}

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("Why"))
        super().__init__(max_length=kwargs.pop("max_length", 200), **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")
        # Nothing is cut off while typing; the server says what is too long.
        self.widget.attrs.pop("maxlength", None)
