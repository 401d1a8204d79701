"""Tables of the office: what makes a figure, yields, late entries, authorisations, how long records are kept."""

from __future__ import annotations

from typing import Any, ClassVar

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.office_words import OFFICE_STATES
from lots.desk.tables.base import (
    CodeColumn,
    CountColumn,
    DayColumn,
    LabelledColumn,
    LedgerTable,
    MomentColumn,
    SignedKgColumn,
    heading,
)
from lots.desk.words import entry_number, stage_word
from lots.dossier.period_words import cause_word
from lots.quality.authorising import EVERY_STAGE


def lot_url(record: Any) -> str | None:
    """Return the way to the book of the lot of a row."""
    return reverse("lot", args=[record.lot.code]) if record.lot else None


class EntryColumn(LabelledColumn):
    """The number of an entry, and the way to it."""

    def render(self, value: Any) -> SafeString:
        """Return the link."""
        return format_html('<a href="{}">{}</a>', reverse("entry", args=[value]), entry_number(value))


class WholeMomentColumn(MomentColumn):
    """A moment that has a line of its own on a phone."""

    attrs: ClassVar[dict[str, Any]] = {"td": {"class": "num full", "data-l": heading}}


class WholeDayColumn(DayColumn):
    """A day that has a line of its own on a phone."""

    attrs: ClassVar[dict[str, Any]] = {"td": {"class": "num full", "data-l": heading}}


class CauseColumn(LabelledColumn):
    """A stage, a named loss, or where something stands."""

    def render(self, value: Any) -> str:
        """Return its words."""
        return cause_word(value)


class PostingTable(LedgerTable):
    """What makes one figure of a period balance."""

    at = WholeMomentColumn(accessor="posting__at", verbose_name=_("Happened"), default=_("stood before"))
    entry = EntryColumn(verbose_name=_("Entry"), default="")
    cause = CauseColumn(accessor="posting__cause", verbose_name=_("Cause"))
    lot = CodeColumn(accessor="lot__name", verbose_name=_("Lot"), default="", linkify=lot_url)
    dry_mg = SignedKgColumn(accessor="posting__dry_mg", places=3, verbose_name=_("kg dry"))
    read_mg = SignedKgColumn(accessor="posting__read_mg", places=3, verbose_name=_("kg as read"), default="")

    class Meta:
        """The newest order is that of the events."""

        attrs = {"class": "table stack many"}


class StageColumn(LabelledColumn):
    """A stage in words."""

    def render(self, value: Any) -> str:
        """Return its words."""
        return stage_word(value)


class StagesColumn(LabelledColumn):
    """Several stages in words."""

    def render(self, value: Any) -> str:
        """Return their words."""
        return gettext(", ").join(gettext("every stage") if stage == EVERY_STAGE else stage_word(stage) for stage in sorted(value))


class RecordsColumn(LabelledColumn):
    """A kind of records in words."""

    def render(self, value: Any) -> str:
        """Return its words."""
        return str(OFFICE_STATES.get(value, value))


class LateTable(LedgerTable):
    """Late entries."""

    entry = EntryColumn(verbose_name=_("Entry"))
    stage = StageColumn(verbose_name=_("What"))
    happened_at = WholeMomentColumn(verbose_name=_("Happened"))
    recorded_at = WholeMomentColumn(verbose_name=_("Written"))
    late_days = CountColumn(verbose_name=_("Days late"))
    badge = LabelledColumn(verbose_name=_("Badge"), default="")


class KeptTable(LedgerTable):
    """How long the records of each kind are kept."""

    records = RecordsColumn(verbose_name=_("Which records"))
    record_count = CountColumn(verbose_name=_("How many"))
    oldest_on = WholeDayColumn(verbose_name=_("The oldest"))
    until_on = WholeDayColumn(accessor="kept__until_on", verbose_name=_("The oldest is kept until"), default=_("no rule"))
    rule = LabelledColumn(accessor="kept__rule__code", verbose_name=_("By rule"), default="")
    year_count = CountColumn(accessor="kept__rule__year_count", verbose_name=_("Years"), default="")
    source = LabelledColumn(accessor="kept__rule__source", verbose_name=_("Read where"), default="")


class GrantTable(LedgerTable):
    """Authorisations."""

    code = CodeColumn(verbose_name=_("Code"))
    badge = LabelledColumn(verbose_name=_("Badge"))
    stages = StagesColumn(verbose_name=_("Stages"))
    trained_on = WholeDayColumn(verbose_name=_("Trained on"))
    trained_by = LabelledColumn(verbose_name=_("By badge"))
    until_on = WholeDayColumn(verbose_name=_("Holds until"))


class UnauthorisedTable(LedgerTable):
    """Entries by somebody who was not authorised for them."""

    entry = EntryColumn(verbose_name=_("Entry"))
    stage = StageColumn(verbose_name=_("What"))
    happened_at = WholeMomentColumn(verbose_name=_("Happened"))
    badge = LabelledColumn(verbose_name=_("Badge"), default="")
