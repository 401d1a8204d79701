"""The weighings that a failed check of a scale puts in question."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.tables.base import CodeColumn, KgColumn, LedgerTable, MomentColumn, SignedKgColumn, WordColumn
from lots.desk.ways import way
from lots.desk.words import material_word, stage_word
from lots.read.scale_check import Doubted

SIDES = {"in": _("in"), "out": _("out"), "lost": _("lost")}


@dataclass(frozen=True, slots=True)
class DoubtRow:
    """One weighing as the list shows it."""

    at: dt.datetime
    stage: str
    lot: str | None
    code: str
    what: str
    mass_mg: int
    would_be_mg: int
    in_balance_mg: int
    balance_mg: int


def doubt_row(line: Doubted) -> DoubtRow:
    """Return a weighing in words."""
    lot = line.lot
    return DoubtRow(
        line.at, stage_word(line.stage), lot.name if lot else None, lot.code if lot else "",
        what_words(line), line.mass_mg, line.would_be_mg, line.in_balance_mg, line.balance_mg,
    )


def what_words(line: Doubted) -> str:
    """Return what was weighed, and on which side of its balance."""
    return gettext("%(what)s, %(side)s") % {"what": material_word(line.role), "side": SIDES.get(line.kind, line.kind)}


class DoubtTable(LedgerTable):
    """Weighings in question."""

    at = MomentColumn(verbose_name=_("When"))
    stage = WordColumn(verbose_name=_("Stage"))
    lot = CodeColumn(verbose_name=_("Lot"), default="", linkify=lambda record: way("lot", record.code) if record.code else None)
    what = WordColumn(verbose_name=_("What"))
    mass_mg = KgColumn(verbose_name=_("kg as read"), places=3)
    would_be_mg = KgColumn(verbose_name=_("kg corrected"), places=3)
    in_balance_mg = SignedKgColumn(verbose_name=_("± kg, line"), places=3)
    balance_mg = SignedKgColumn(verbose_name=_("± kg, balance"), places=3)
