"""The table of cultivars side by side."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.tables.base import CountColumn, FigureColumn, LabelledColumn, LedgerTable
from lots.read.cultivars import MARKS, CultivarFacts


class MarkColumn(FigureColumn):
    """The mean of one mark."""

    def __init__(self, mark: str, verbose_name: Any) -> None:
        super().__init__(verbose_name, places=1, accessor="marks", orderable=False, default="")
        self.mark = mark

    def render(self, record: CultivarFacts) -> str:
        """Return the mean with one decimal, nothing where nobody tasted."""
        return self.text_of(record)

    def text_of(self, record: CultivarFacts) -> str:
        """Return the mean as text."""
        mean = record.mean(self.mark)
        return "" if mean is None else f"{mean:.1f}"


class CultivarTable(LedgerTable):
    """Cultivars side by side: marks with their count, fresh leaf by area, grams an hour."""

    name = LabelledColumn(verbose_name=_("Cultivar"))
    tasting_count = CountColumn(verbose_name=_("Tastings"))
    aroma = MarkColumn(MARKS[0], _("Aroma"))
    taste = MarkColumn(MARKS[1], _("Taste"))
    colour = MarkColumn(MARKS[2], _("Colour"))
    body = MarkColumn(MARKS[3], _("Body"))
    foam = MarkColumn(MARKS[4], _("Foam"))
    kg_per_10_a = FigureColumn(places=0, verbose_name=_("kg fresh per 10 a"), default="")
    rate_g_per_h = FigureColumn(places=1, verbose_name=_("g/h on the stones"), default="")
