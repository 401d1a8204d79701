"""The list of lots: leaf first, then figures, then verdict."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.tables.base import (
    CodeColumn,
    KgColumn,
    LedgerTable,
    PercentColumn,
    SignedColumn,
    VerdictColumn,
    WordColumn,
)
from lots.desk.tables.days import ShortDayColumn
from lots.desk.ways import way
from lots.desk.words import language, material_word, stage_word
from lots.models import Lot
from lots.read.lots import LotRow, State, with_words
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES

#: The stages that open lots.
OPENING = tuple(key for key, stage in STAGES.items() if stage.produces)


def state_word(state: State) -> str:
    """Return how a lot stands."""
    words = {
        State.HERE: gettext("here"), State.HELD: gettext("on hold"), State.FETCHED: gettext("fetched back"), State.USED: gettext("used up"),
    }
    return words[state]


def material_choices() -> list[tuple[str, str]]:
    """Return the materials that a lot can be of."""
    return [(key, material_word(key)) for key in MATERIALS]


def stage_choices() -> list[tuple[str, str]]:
    """Return the stages that open lots."""
    return [(key, stage_word(key)) for key in OPENING]


def state_choices() -> list[tuple[str, str]]:
    """Return how a lot can stand."""
    return [(state.value, state_word(state)) for state in State]


class LotFilter(django_filters.FilterSet):
    """Words, material, stage, state."""

    q = django_filters.CharFilter(label=_("Words or code"), method="words", widget=forms.TextInput(attrs={
        "lang": "en", "autocapitalize": "off", "spellcheck": "false", "autocomplete": "off",
    }))
    material = django_filters.ChoiceFilter(label=_("Material"), choices=material_choices, empty_label=_("all materials"))
    stage = django_filters.ChoiceFilter(
        label=_("Made at"), field_name="step__stage", choices=stage_choices, empty_label=_("all stages"),
    )
    state = django_filters.ChoiceFilter(label=_("State"), choices=state_choices, empty_label=_("any state"))

    class Meta:
        """On lots."""

        model = Lot
        fields = ("q", "material", "stage", "state")

    def words(self, rows: QuerySet[Lot], _name: str, value: str) -> QuerySet[Lot]:
        """Return the lots in which the words stand."""
        return with_words(rows, value) if value.strip() else rows


class NameColumn(CodeColumn):
    """What people call a lot, and under it what stops it."""

    def render(self, value: Any, record: LotRow) -> SafeString:
        """Return the name, with the word that stops the lot."""
        name = super().render(value)
        if record.state not in {State.HELD, State.FETCHED}:
            return name
        return format_html("{} <small>{}</small>", name, state_word(record.state))

    def text(self, value: Any) -> str:
        """Return the name alone."""
        return str(value)


class PlotColumn(WordColumn):
    """The plot of the largest share, and how many harvests stand behind it."""

    def render(self, value: Any, record: LotRow) -> SafeString:
        """Return code and name of the plot."""
        more = gettext(" and %(count)d more") % {"count": record.origin_count - 1} if record.origin_count > 1 else ""
        return format_html("{} {}{}", record.plot, value, more)


class CultivarColumn(WordColumn):
    """The cultivar in the language of the page."""

    def render(self, value: Any, record: LotRow) -> str:
        """Return the cultivar's name."""
        return (language() == "ja" and record.cultivar_ja) or str(value)


class MaterialColumn(WordColumn):
    """A material in the words of the trade."""

    def render(self, value: Any) -> str:
        """Return the word."""
        return material_word(value)

    def text(self, value: Any) -> str:
        """Return the word."""
        return material_word(value)


class StateColumn(WordColumn):
    """How a lot stands."""

    def render(self, value: Any) -> str:
        """Return the word."""
        return state_word(value)

    def text(self, value: Any) -> str:
        """Return the word."""
        return state_word(value)


class LotTable(LedgerTable):
    """Lots as people look for them."""

    name = NameColumn(_("Lot"), linkify=lambda record: way("lot", record.code))
    material = MaterialColumn(_("Material"))
    plot_name = PlotColumn(_("Plot"), attrs={"td": {"class": "plot"}}, default="")
    cultivar = CultivarColumn(_("Cultivar"), default="")
    plucked_on = ShortDayColumn(_("Plucked"), default="")
    mass_mg = KgColumn(_("kg as read"), places=3)
    book_mg = KgColumn(_("kg left"), places=3)
    state = StateColumn(_("State"))
    yield_frac = PercentColumn(_("dry yield, %"), orderable=False, default="")
    verdict = VerdictColumn(_("Verdict"), orderable=False, default="")
    z = SignedColumn(_("from usual"), orderable=False, default="")

    caption = _("Lots")

    def in_hundredths(self) -> None:
        """Show masses with two decimals, as the scales of leaf do."""
        for name in ("mass_mg", "book_mg"):
            self.columns[name].column.places = 2

