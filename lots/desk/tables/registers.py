"""The table of a register, its columns made from the fields that a person answers."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType
from typing import Any

import django_tables2 as tables
from django.db import models
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.register_words import LABELS, REGISTERS, STATES, TYPED_IN
from lots.desk.forms.registers import asked, words_of
from lots.desk.tables.base import CodeColumn, CountColumn, DayColumn, FigureColumn, LabelledColumn, LedgerTable, WordColumn
from lots.models import Register
from lots.models.fields import SealedField
from lots.read.names import opened
from lots.record.registers import KINDS

WIDE_FROM = 7
#: Too long for a cell: the page of the plot draws it.
NOT_LISTED = frozenset({"outline"})
#: Shorter words for the heading of a column.
HEADINGS: MappingProxyType[str, Any] = MappingProxyType({
    "division_mg": _("d, g"), "interval_mg": _("e, g"), "u_repeat_mg": _("s, g"), "accuracy_class": _("Class"), "capacity_mg": _("To, kg"),
    "decimals_count": _("Decimals"), "area_a": _("Ares"), "altitude_m": _("Metres up"), "planted_year": _("Planted"), "place": _("Place"),
    "valley": _("Valley"), "disclosed": _("Packs say"), "net_mg": _("Net, g"), "keeps_days": _("Keeps, days"), "roles": _("Role"),
    "dressed_h": _("Hours at start"), "aperture_um": _("Openings, µm"), "loss_frac": _("Loss, %"), "sd_frac": _("Scatter, %"),
    "lot_count": _("From lots"), "u_moisture_frac": _("Uncertainty, %"), "assumed_frac": _("Assumed, %"), "retired": _("Out of use"),
})


class NumberColumn(FigureColumn):
    """A number of a register in the unit in which it is typed."""

    def __init__(self, verbose_name: Any = None, *, factor: Decimal = Decimal(1), **kwargs: Any) -> None:
        super().__init__(verbose_name, **kwargs)
        self.factor = factor

    def render(self, value: Any) -> str:
        """Return the figure with the decimals that it has."""
        return self.text(value)

    def text(self, value: Any) -> str:
        """Return the figure for a file."""
        return f"{(Decimal(value) / self.factor).normalize():f}"


class AgainColumn(WordColumn):
    """The way to a new version."""

    def __init__(self, table: str) -> None:
        super().__init__("", accessor="code", orderable=False, exclude_from_export=True)
        self.table = table

    def render(self, value: Any) -> SafeString:
        """Return the link."""
        url = reverse("registers-enter", args=[self.table, value])
        words = gettext("New version")
        return format_html('<a class="go" href="{}" aria-label="{}">{}</a>', url, f"{words} {value}", words)


def register_table(table: str, rows: list[Register], *, enters: bool) -> LedgerTable:
    """Return the table of a register with what stands in it."""
    fields = [field for field in asked(KINDS[table]) if field.name not in NOT_LISTED]
    records = records_of(rows, fields)
    shown = [field for field in fields if any(record[field.name] not in {"", None} for record in records)]
    extra: list[tuple[str, tables.Column]] = [("code", CodeColumn(verbose_name=REGISTERS[table].code))]
    extra += [(field.name, column(field)) for field in shown]
    extra += [("version", CountColumn(verbose_name=_("Version"))), ("since_at", DayColumn(verbose_name=_("Valid from")))]
    if enters:
        extra.append(("again", AgainColumn(table)))
    made = LedgerTable(records, extra_columns=extra, order_by="code")
    made.caption, made.wide = REGISTERS[table].title, len(extra) >= WIDE_FROM
    return made


def column(field: models.Field[Any, Any]) -> tables.Column:
    """Return the column of a field."""
    label = HEADINGS.get(field.name, LABELS.get(field.name, field.name))
    if isinstance(field, (models.IntegerField, models.DecimalField)) and not field.is_relation:
        return NumberColumn(verbose_name=label, default="", factor=TYPED_IN.get(field.name, (Decimal(1), ""))[0])
    if isinstance(field, models.DateField):
        return DayColumn(verbose_name=label, default="")
    return LabelledColumn(verbose_name=label, default="")


def records_of(rows: list[Register], fields: list[models.Field[Any, Any]]) -> list[dict[str, Any]]:
    """Return the rows as the table shows them, personal values opened."""
    seals = [str(getattr(row, f.name)) for row in rows for f in fields if isinstance(f, SealedField)]
    pointers = {f.name: pointed(rows, f) for f in fields if f.is_relation}
    sealed = opened([*seals, *(str(getattr(p, "name", "")) for known in pointers.values() for p in known.values())])
    return [
        {
            "code": row.code, "version": row.version, "since_at": row.valid_from_at,
            **{f.name: cell(row, f, sealed, pointers.get(f.name, {})) for f in fields},
        }
        for row in rows
    ]


def pointed(rows: list[Register], field: models.Field[Any, Any]) -> dict[Any, Register]:
    """Return the things that a pointer of these rows names, in one query."""
    model: Any = field.related_model
    found: dict[Any, Register] = model.objects.in_bulk({getattr(row, field.attname) for row in rows} - {None})
    return found


def cell(row: Register, field: models.Field[Any, Any], sealed: dict[str, str], known: dict[Any, Register]) -> Any:
    """Return one value of a row as the table shows it."""
    if field.is_relation:
        target = known.get(getattr(row, field.attname))
        return words_of(target, sealed) if target else ""
    value = getattr(row, field.name)
    if isinstance(field, SealedField):
        return sealed.get(value, "")
    if isinstance(field, models.BooleanField):
        return gettext("yes") if value else ""
    return str(STATES[value]) if field.choices and value in STATES else value
