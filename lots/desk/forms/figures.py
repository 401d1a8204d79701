"""Fields for figures that a person reads off something: never filled in, and read as the scale would show them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.widgets import FigureLine, MoistureLine, Typed, TypedMoisture
from lots.trade.language import Refused
from lots.trade.moisture import Basis, per_100, wet_frac_from
from lots.trade.numbers import Reading, read_count, read_hours, read_moisture, read_number
from lots.trade.units import kg_from_mg, mg_from_g, mg_from_kg, number_text


@dataclass(frozen=True, slots=True)
class Moisture:
    """A moisture as the book keeps it (kg water per kg wet) with what was typed, per 100 of its basis."""

    wet_frac: Decimal
    basis: Basis
    typed: Decimal


def language() -> str:
    """Return the language of the page."""
    return get_language() or "en"


class FigureField(forms.Field, ABC):
    """A figure that a person reads off something. Never filled in beforehand."""

    part: ClassVar[str] = "figure"
    never_filled: ClassVar[bool] = True

    def __init__(self, *, unit: Any = "", widget: forms.Widget | None = None, **kwargs: Any) -> None:
        super().__init__(widget=widget or FigureLine(unit), **kwargs)

    @abstractmethod
    def read(self, typed: Any) -> Reading:
        """Return what the text means."""

    @abstractmethod
    def kept(self, value: Decimal, _typed: Any) -> Any:
        """Return the figure as the book keeps it."""

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


def chosen(meant: str, candidates: Sequence[Decimal]) -> Decimal | None:
    """Return the reading that the person chose, if it is one of those offered."""
    try:
        value = Decimal(meant)
    except InvalidOperation:
        return None
    return value if value in candidates else None


class MassField(FigureField):
    """A mass as a scale shows it, typed in kg (or g); cleaned to whole mg. ``capacity`` is that of the scale."""

    def __init__(
        self, *, places: int = 2, capacity: Decimal | int | None = None, unit: str = "kg", **kwargs: Any,
    ) -> None:
        super().__init__(unit=unit, **kwargs)
        self.unit = unit
        self.set_scale(places, capacity)

    def set_scale(self, places: int, capacity: Decimal | int | None = None) -> None:
        """Take decimals and capacity (in the field's unit) from the scale that the page knows."""
        self.places = places
        self.capacity = capacity

    def read(self, typed: Any) -> Reading:
        """Read it as the scale would show it."""
        return read_number(typed.text, self.places, self.capacity, self.unit, language())

    def kept(self, value: Decimal, _typed: Any) -> int:
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

    def kept(self, value: Decimal, _typed: Any) -> int:
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

    def kept(self, value: Decimal, _typed: Any) -> Decimal:
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

    def kept(self, value: Decimal, _typed: Any) -> Decimal:
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

    def kept(self, value: Decimal, _typed: Any) -> Moisture:
        """Return the moisture as the book keeps it."""
        basis = self.basis_of(_typed)
        try:
            return Moisture(wet_frac_from(value, basis), basis, value)
        except Refused as refusal:
            raise ValidationError(refusal.text(language()), code="refused") from refusal

    def shown(self, value: Any) -> str:
        """Return an earlier moisture (wet fraction) on the wet basis."""
        if isinstance(value, str):
            return value
        return number_text(per_100(float(value), Basis.WET), 1, language=language())
