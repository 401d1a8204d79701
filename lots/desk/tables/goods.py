"""Deliveries as a table."""

from __future__ import annotations

from typing import Any, ClassVar

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.goods import LABELS, SEALS, STATES
from lots.desk.tables.base import KgColumn, LabelledColumn, LedgerTable, MomentColumn
from lots.desk.ways import way
from lots.desk.words import material_word
from lots.read.receiving import Delivery


class WordOfColumn(LabelledColumn):
    """A stored word as a hand reads it."""

    def __init__(self, words: Any, **kwargs: Any) -> None:
        super().__init__(default="", **kwargs)
        self.words = {str(key): said for key, said in words}

    def text(self, value: Any) -> str:
        """Return the word."""
        return str(self.words.get(str(value), value))

    def render(self, value: Any) -> str:
        """Return the word for eyes."""
        return self.text(value)


class MaterialColumn(LabelledColumn):
    """A material in the words of the trade."""

    def text(self, value: Any) -> str:
        """Return the word."""
        return material_word(str(value))

    def render(self, value: Any) -> str:
        """Return the word for eyes."""
        return self.text(value)


def lot_way(record: Delivery) -> str:
    """Return the way to the lot of a delivery."""
    return way("lot", record.lot.code) if record.lot else ""


class DeliveryTable(LedgerTable):
    """What came in and what was sent away."""

    at = MomentColumn(verbose_name=_("When"))
    supplier = LabelledColumn(verbose_name=_("From whom"))
    material = MaterialColumn(verbose_name=_("What"))
    lot = LabelledColumn(verbose_name=_("Our lot"), default="", accessor="lot__name", linkify=lot_way)
    supplier_lot = LabelledColumn(verbose_name=_("Their code"), default="")
    paper = LabelledColumn(verbose_name=_("Paper"))
    stated_mg = KgColumn(places=3, verbose_name=_("the paper says, kg"), default="")
    mass_mg = KgColumn(places=3, verbose_name=_("our scale says, kg"), default="")
    label_check = WordOfColumn(LABELS, verbose_name=_("Label"))
    seal = WordOfColumn(SEALS, verbose_name=_("Seal"))
    state = WordOfColumn(STATES, verbose_name=_("Taken in as"))
    certificate = LabelledColumn(verbose_name=_("Certificate"), default="")
    outcome = LabelledColumn(verbose_name=_("What became of it"), accessor="step", orderable=False)

    caption: ClassVar[Any] = _("Goods in")

    def render_outcome(self, record: Delivery) -> str:
        """Return what became of a delivery."""
        return outcome(record)

    def value_outcome(self, record: Delivery) -> str:
        """Return the same for a file."""
        return outcome(record)


def outcome(record: Delivery) -> str:
    """Return what became of a delivery in words."""
    if record.lot is None:
        return gettext("sent away: %(why)s") % {"why": record.why}
    return gettext("taken in and stopped") if record.is_held else gettext("taken in")
