"""Tables of the office: what makes a figure, yields, late entries, authorisations, how long records are kept."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from lots.desk.tables.base import (
    CodeColumn,
    LabelledColumn,
    LedgerTable,
    MomentColumn,
    SignedKgColumn,
)
from lots.desk.words import entry_number
from lots.dossier.period_words import cause_word


def lot_url(record: Any) -> str | None:
    """Return the way to the book of the lot of a row."""
    return reverse("lot", args=[record.lot.code]) if record.lot else None


class EntryColumn(LabelledColumn):
    """The number of an entry, and the way to it."""

    def render(self, value: Any) -> SafeString:
        """Return the link."""
        return format_html('<a href="{}">{}</a>', reverse("entry", args=[value]), entry_number(value))


class CauseColumn(LabelledColumn):
    """A stage, a named loss, or where something stands."""

    def render(self, value: Any) -> str:
        """Return its words."""
        return cause_word(value)


class PostingTable(LedgerTable):
    """What makes one figure of a period balance."""

    at = MomentColumn(accessor="posting__at", verbose_name=_("Happened"), default=_("stood before"))
    entry = EntryColumn(verbose_name=_("Entry"), default="")
    cause = CauseColumn(accessor="posting__cause", verbose_name=_("Cause"))
    lot = CodeColumn(accessor="lot__name", verbose_name=_("Lot"), default="", linkify=lot_url)
    dry_mg = SignedKgColumn(accessor="posting__dry_mg", places=3, verbose_name=_("kg dry"))
    read_mg = SignedKgColumn(accessor="posting__read_mg", places=3, verbose_name=_("kg as read"), default="")

    class Meta:
        """The newest order is that of the events."""

        attrs = {"class": "table stack many"}
