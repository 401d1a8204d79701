"""How fields are drawn: the scan ticket, figures on a ruled line, joined strips.

Our own templates are found among the project's, whatever renderer the forms have.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.template.loader import get_template
from django.utils.safestring import SafeString, mark_safe

# A code is neither a word nor a sentence: no capitals, no spelling, no help of an input method.
CODE_ATTRS = {"lang": "en", "autocapitalize": "off", "autocorrect": "off", "spellcheck": "false", "autocomplete": "off"}
FIGURE_ATTRS = {"inputmode": "decimal", "autocomplete": "off"}


@dataclass(frozen=True, slots=True)
class Typed:
    """A figure as it was typed, and which of the offered readings was meant, if somebody said so."""

    text: str = ""
    meant: str = ""


@dataclass(frozen=True, slots=True)
class TypedMoisture(Typed):
    """A moisture as it was typed, with its basis ("wet", "dry" or nothing)."""

    basis: str = ""


class Drawn(forms.Widget):
    """A widget whose template is one of the project's."""

    def _render(self, template_name: str, context: dict[str, Any], _renderer: Any = None) -> SafeString:
        return mark_safe(get_template(template_name).render(context))  # noqa: S308 - rendered by an escaping template


def one(data: Mapping[str, Any], name: str) -> str:
    """Return one posted text, trimmed of what a scanner or a hand leaves round it."""
    return str(data.get(name) or "").strip()


class ScanTicket(Drawn, forms.TextInput):
    """The line that takes scans: a ticket with a torn code edge."""

    template_name = "parts/widgets/scan.html"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({**CODE_ATTRS, "data-scan": "", **(attrs or {})})


class FigureLine(Drawn, forms.TextInput):
    """A figure written on a thick ruled line, its unit after it."""

    template_name = "parts/widgets/figure.html"

    def __init__(self, unit: Any = "", attrs: dict[str, Any] | None = None) -> None:
        super().__init__({**FIGURE_ATTRS, "data-figure": "", **(attrs or {})})
        self.unit = unit

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """Return the context with the unit, and the reading that was chosen: it stands until it is typed anew."""
        context = super().get_context(name, value, attrs)
        context["widget"] |= {"unit": self.unit, "meant": value.meant if isinstance(value, Typed) else ""}
        return context

    def format_value(self, value: Any) -> str:
        """Return what was typed, exactly."""
        return value.text if isinstance(value, Typed) else ""

    def value_from_datadict(self, data: Mapping[str, Any], _files: Any, name: str) -> Typed:
        """Return what was typed and which reading was meant."""
        return Typed(one(data, name), one(data, f"{name}_meant"))

    def value_omitted_from_data(self, data: Mapping[str, Any], _files: Any, name: str) -> bool:
        """Tell whether the field was not on the page."""
        return name not in data


class MoistureLine(FigureLine):
    """A moisture with its basis: per 100 wet or per 100 dry, as a joined strip."""

    template_name = "parts/widgets/moisture.html"

    def __init__(self, bases: tuple[tuple[str, Any], ...], usual: str = "") -> None:
        super().__init__(attrs={"data-moisture": ""})
        self.bases = bases
        self.usual = usual

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """Return the context with the two bases and the chosen one."""
        context = super().get_context(name, value, attrs)
        chosen = value.basis if isinstance(value, TypedMoisture) else self.usual
        context["widget"] |= {"bases": self.bases, "basis": chosen}
        return context

    def value_from_datadict(self, data: Mapping[str, Any], _files: Any, name: str) -> TypedMoisture:
        """Return figure, meant reading and basis."""
        return TypedMoisture(one(data, name), one(data, f"{name}_meant"), one(data, f"{name}_basis"))


class Strip(Drawn, forms.RadioSelect):
    """Up to seven answers as joined strips; the chosen one is bold and underscored."""

    template_name = "parts/widgets/strip.html"
