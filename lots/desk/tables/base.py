"""The table that every list of the desk is: plain ruled lines, figures right, pairs of lines on a phone, and a file.

A column knows two spellings of its value: the one for eyes, with the signs of the trade, and the one for a spreadsheet,
with a point as decimal mark and nothing that a program could stumble over.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from html import unescape
from typing import Any, ClassVar

import django_tables2 as tables
from django.template import engines
from django.utils import timezone
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from lots.trade import units

# What a spreadsheet would take for a formula when it stands first in a cell.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def language() -> str:
    """Return the language of the page."""
    return get_language() or "en"


def heading(bound_column: tables.columns.BoundColumn) -> str:
    """Return the heading of a column, which a phone shows beside each value."""
    return str(bound_column.header)


class WordColumn(tables.Column):
    """Words. On a phone they stand without a label."""

    def text(self, value: Any) -> str:
        """Return the value as a file has it."""
        return str(value)

    def value(self, value: Any = None, **_kwargs: Any) -> str:
        """Return the value for a file; nothing where nothing is known."""
        return "" if value is None else self.text(value)


class LabelledColumn(WordColumn):
    """Words that need their heading beside them on a phone."""

    attrs: ClassVar[dict[str, Any]] = {"td": {"data-l": heading}}


@cache
def compiled(code: str) -> Any:
    """Return a cell's template, compiled once."""
    return engines["django"].from_string("{% load ledger %}" + code)


class TaggedColumn(WordColumn):
    """A value that a tag of ours draws, the same in a table as in a sentence."""

    tagged: ClassVar[str] = "{{ value }}"

    def render(self, value: Any) -> SafeString:
        """Return the value for eyes."""
        return SafeString(compiled(self.tagged).render({"value": value}))

    def text(self, value: Any) -> str:
        """Return the words alone."""
        return unescape(strip_tags(self.render(value)))


class FigureColumn(WordColumn):
    """A figure, right-aligned, with its heading beside it on a phone. ``places`` decimals."""

    attrs: ClassVar[dict[str, Any]] = {
        "th": {"class": "r"}, "td": {"class": "r", "data-l": heading}, "tf": {"class": "r"},
    }
    scale: ClassVar[Decimal] = Decimal(1)
    signed: ClassVar[bool] = False
    unit: ClassVar[str] = ""

    def __init__(self, verbose_name: Any = None, *, places: int = 0, **kwargs: Any) -> None:
        kwargs.setdefault("initial_sort_descending", True)
        super().__init__(verbose_name, **kwargs)
        self.places = places

    def figure(self, value: Any) -> Decimal:
        """Return the value in the unit of the column."""
        exact = value if isinstance(value, (int, Decimal)) else Decimal(repr(float(value)))
        return Decimal(exact) * self.scale

    def render(self, value: Any) -> str:
        """Return the figure for eyes."""
        return units.number_text(self.figure(value), self.places, signed=self.signed, language=language())

    def text(self, value: Any) -> str:
        """Return the figure for a file."""
        return f"{self.figure(value).quantize(Decimal(1).scaleb(-self.places), ROUND_HALF_UP):f}"


class KgColumn(FigureColumn):
    """A mass, mg in the record, kg in the column."""

    scale = Decimal("0.000001")
    unit = "kg"

    def __init__(self, verbose_name: Any = None, *, places: int = 2, **kwargs: Any) -> None:
        super().__init__(verbose_name, places=places, **kwargs)


class SignedKgColumn(KgColumn):
    """A difference in kg, its sign always shown."""

    signed = True


class GramColumn(FigureColumn):
    """A mass, mg in the record, g in the column."""

    scale = Decimal("0.001")
    unit = "g"


class PercentColumn(FigureColumn):
    """A share, fraction in the record, per cent in the column."""

    scale = Decimal(100)
    unit = "%"

    def __init__(self, verbose_name: Any = None, *, places: int = 1, **kwargs: Any) -> None:
        super().__init__(verbose_name, places=places, **kwargs)


class CountColumn(FigureColumn):
    """A count."""


class SignedColumn(FigureColumn):
    """A figure without a unit of its own, its sign always shown."""

    signed = True

    def __init__(self, verbose_name: Any = None, *, places: int = 2, **kwargs: Any) -> None:
        super().__init__(verbose_name, places=places, **kwargs)


class DayColumn(TaggedColumn):
    """A day with its weekday."""

    attrs: ClassVar[dict[str, Any]] = {"td": {"class": "num"}}
    tagged = "{{ value|day }}"

    def text(self, value: Any) -> str:
        """Return the day at the mill."""
        local = timezone.localtime(value).date() if isinstance(value, dt.datetime) else value
        return str(local.isoformat())


class MomentColumn(TaggedColumn):
    """A moment at the mill."""

    attrs: ClassVar[dict[str, Any]] = {"td": {"class": "num"}}
    tagged = "{{ value|moment }}"

    def text(self, value: Any) -> str:
        """Return the moment with its offset."""
        return str(timezone.localtime(value).isoformat(timespec="minutes"))


class VerdictColumn(TaggedColumn):
    """A verdict of a balance or a claim: mark and word."""

    tagged = "{% verdict value %}"


class CodeColumn(TaggedColumn):
    """A code that does not break over a line."""

    tagged = "{% code value %}"


class LedgerTable(tables.Table):
    """A table of the desk. ``caption`` names it for readers of screens; ``csv_url`` offers the same as a file."""

    caption: Any = ""
    summary: Any = ""
    csv_url = ""
    wide = False
    show_empty = False

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        # The library does not hand a Meta on to subclasses; what is the same in every table is said here.
        kwargs.setdefault("template_name", "parts/table.html")
        kwargs.setdefault("empty_text", _("Nothing here yet."))
        # A dash says nothing: what is missing is said, or the column sets `default=""` where nothing belongs.
        kwargs.setdefault("default", _("not known"))
        super().__init__(data if data is not None else [], **kwargs)

    def as_csv_rows(self) -> Iterator[list[str]]:
        """Yield heading and rows as text, in the order of the page; units stand in the heading."""
        columns = [c for c in self.columns if not c.column.exclude_from_export]
        yield [file_heading(c) for c in columns]
        for row in self.rows:
            yield [file_cell(c.column, c.accessor.resolve(row.record, quiet=True)) for c in columns]


def file_heading(bound: tables.columns.BoundColumn) -> str:
    """Return a heading with the unit of its column, unless it names it already."""
    unit = getattr(bound.column, "unit", "")
    words = str(bound.header)
    return f"{words}, {unit}" if unit and unit not in words.replace(",", " ").split() else words


def file_cell(column: tables.Column, value: Any) -> str:
    """Return one cell for a file. Words that a spreadsheet would run as a formula are kept words."""
    text = str(column.value(value=value))
    is_figure = isinstance(column, FigureColumn)
    return f"'{text}" if text.startswith(FORMULA_SIGNS) and not is_figure else text
