"""Tables of yields: fresh leaf of a year by plot and by grower."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.tables.base import CodeColumn, FigureColumn, KgColumn, LabelledColumn, LedgerTable, TaggedColumn
from lots.dossier.words import state_word
from lots.quality.field_yields import YieldDoubts
from lots.trade.weighing import Verdict


class DoubtColumn(LabelledColumn):
    """What speaks against a yield, in words."""

    def render(self, value: YieldDoubts) -> str:
        """Return the words."""
        words = [
            (value.beyond_range, gettext("beyond what the trade knows")), (value.far_from_last, gettext("far from last year")),
            (value.far_from_others, gettext("far from the other plots")),
        ]
        return gettext(", ").join(word for holds, word in words if holds)

    def text(self, value: YieldDoubts) -> str:
        """Return the words for a file."""
        return self.render(value)


class LookColumn(TaggedColumn):
    """Whether a yield is to be looked at."""

    def render(self, value: YieldDoubts) -> SafeString:
        """Return mark and word."""
        self.tagged = "{% verdict value %}"
        return super().render(Verdict.LOOK if value.any else Verdict.ADDS_UP)


class StateColumn(LabelledColumn):
    """The state of a plot."""

    def render(self, value: Any) -> str:
        """Return the words."""
        return state_word(value)


class PlotTable(LedgerTable):
    """Yields by plot."""

    code = CodeColumn(verbose_name=_("Plot"))
    name = LabelledColumn(verbose_name=_("Name"))
    grower = LabelledColumn(verbose_name=_("Grower"), default="")
    state = StateColumn(verbose_name=_("State"))
    area_a = FigureColumn(places=1, verbose_name=_("Ares"))
    mass_mg = KgColumn(places=1, verbose_name=_("kg fresh"))
    kg_per_10_a = FigureColumn(places=0, verbose_name=_("kg per 10 a"), default="")
    kg_per_ha = FigureColumn(places=0, verbose_name=_("kg per ha"), default="")
    last_kg_per_10_a = FigureColumn(places=0, verbose_name=_("a year before, kg per 10 a"), default="")
    look = LookColumn(accessor="doubts", verbose_name=_("Verdict"), default="")
    doubts = DoubtColumn(verbose_name=_("Why"), default="")

    class Meta:
        """Wide."""

        attrs = {"class": "table stack many"}


class GrowerTable(LedgerTable):
    """Yields by grower."""

    name = LabelledColumn(verbose_name=_("Grower"), default=_("nobody named"))
    area_a = FigureColumn(places=1, verbose_name=_("Ares"))
    mass_mg = KgColumn(places=1, verbose_name=_("kg fresh"))
    kg_per_10_a = FigureColumn(places=0, verbose_name=_("kg per 10 a"), default="")
    kg_per_ha = FigureColumn(places=0, verbose_name=_("kg per ha"), default="")
    last_kg_per_10_a = FigureColumn(places=0, verbose_name=_("a year before, kg per 10 a"), default="")

    class Meta:
        """Narrow."""

        attrs = {"class": "table stack many"}
