"""Registers: a named thing is entered, changed by a new version, or retired. One door for all of them."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _

from lots.models import (
    REGISTERS,
    Cultivar,
    Equipment,
    FieldPlot,
    House,
    Limit,
    Party,
    Product,
    Register,
    SalesUnit,
    Scale,
    Screen,
    Staff,
    StonePair,
)
from lots.models.fields import SealedField
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.limit_fields import limit_fields
from lots.record.pairing import ask_about_pairing
from lots.record.plots import plot_fields
from lots.record.writing import Writing, next_version

KINDS: dict[str, type[Register]] = {m._meta.db_table: m for m in REGISTERS}  # type: ignore[misc]
WORDS = {
    "party": "parties", "cultivar": "cultivars", "field_plot": "plots", "equipment": "machines", "scale": "scales",
    "staff": "staff", "product": "products", "sales_unit": "sales units",
}
#: What the ledger itself gives to every version.
OWN = frozenset({"id", "entry", "code", "version", "valid_from_at"})
POINTERS: dict[str, type[Register]] = {
    "grower": Party, "plot": FieldPlot, "cultivar": Cultivar, "equipment": Equipment, "scale": Scale, "pair": StonePair,
    "screen": Screen, "party": Party, "staff": Staff, "trained_by": Staff, "product": Product,
    "checked_by": Staff, "holds": SalesUnit, "line": Equipment,
}


@act("register.enter")
def enter(w: Writing, *, table: str, code: str, fields: dict[str, Any], valid_from_at: dt.datetime | None = None) -> None:
    """Enter a named thing, or a new version of it. Pointers are given by code; personal fields in clear, they are sealed."""
    if table not in KINDS:
        raise Refused(_("There is no register called %(table)s.") % {"table": table}, "table")
    if not code.strip():
        raise Refused(_("A code is missing. Give the thing a short code that can be printed on its tag."), "code")
    if table == SalesUnit._meta.db_table:
        refuse_odd_unit(fields)
    if table == FieldPlot._meta.db_table:
        fields = plot_fields(w, code.strip(), fields)
    if table == Limit._meta.db_table:
        fields = limit_fields(fields)
    if table == StonePair._meta.db_table:
        ask_about_pairing(w, str(fields.get("upper", "")), str(fields.get("lower", "")))
    w.add(row(w, KINDS[table], code.strip(), fields, valid_from_at))


def refuse_odd_unit(fields: dict[str, Any]) -> None:
    """Refuse a sales unit that holds nothing, or packs and smaller units at once."""
    if bool(fields.get("product")) == bool(fields.get("holds")):
        raise Refused(_("A sales unit holds packs of one product, or smaller units: one of the two."), "product")
    if int(fields.get("held_count") or 0) < 1:
        raise Refused(_("How many of these does it hold? At least one."), "held_count")


def row(w: Writing, model: type[Register], code: str, fields: dict[str, Any], valid_from_at: dt.datetime | None) -> Register:
    """Return the new version's row, personal values sealed and pointers resolved."""
    at = w.at(valid_from_at)
    return model(code=code, version=next_version(model, code), valid_from_at=at, **resolved(w, model, fields))


def resolved(w: Writing, model: type[Register], fields: dict[str, Any]) -> dict[str, Any]:
    """Return model fields from what was typed."""
    known = {f.name: f for f in model._meta.concrete_fields if f.name not in OWN}
    answer: dict[str, Any] = {}
    for name, value in fields.items():
        if name not in known:
            words = {"table": model._meta.db_table, "field": name}
            raise Refused(_("The register %(table)s has no field %(field)s.") % words, name)
        if isinstance(known[name], SealedField):
            answer[name] = w.seal(value)
        elif name in POINTERS and known[name].is_relation:
            what = WORDS.get(POINTERS[name]._meta.db_table, name)
            answer[name] = w.in_force(POINTERS[name], value, what, name) if value else None
        else:
            answer[name] = value
    return answer


@act("register.found")
def found_house(w: Writing, *, house: dict[str, Any], badge: str, name: str, login: str = "") -> None:
    """Open an empty book: the house and its first badge, who is also the one that records this."""
    if House.objects.exists() or w.seq:
        raise Refused(_("The book is already open. Enter a new version of the house instead."))
    w.by = w.seal(name)
    w.add(House(code="HOUSE", version=1, valid_from_at=w.at(None), **resolved(w, House, house)))
    w.add(Staff(code=badge, version=1, valid_from_at=w.now, name=w.by, login=login))
