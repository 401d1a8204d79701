"""Whose eyes a paper is for: what it may name, and what it therefore withholds and says so."""

from __future__ import annotations

from enum import StrEnum

from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from lots.models import FieldPlot
from lots.read.dossiers import LotDossier
from lots.read.lot_fields import HarvestField
from lots.read.origins import OriginShare
from lots.read.outgoing import Sent
from lots.trade.language import is_japanese


class Reader(StrEnum):
    """Who reads: a buyer, for whom other buyers are left out, or an inspector of an authority."""

    BUYER = "buyer"
    INSPECTOR = "inspector"


class Eyes:
    """Says how plots, growers, consignees and cultivars are named for one reader of a dossier."""

    def __init__(self, reader: Reader, facts: LotDossier) -> None:
        self.reader, self.disclosed, self.parties, self.cultivars_ja = reader, facts.disclosed, facts.parties, facts.cultivars_ja
        self._unnamed: dict[str, int] = {}

    @property
    def sees_all(self) -> bool:
        """Whether everything in the book may be read."""
        return self.reader is Reader.INSPECTOR

    def sees_plot(self, plot: str) -> bool:
        """Tell whether a plot may be named."""
        return self.sees_all or self.disclosed.get(plot) in {FieldPlot.Disclosed.PLOT, FieldPlot.Disclosed.GROWER}

    def sees_grower(self, plot: str) -> bool:
        """Tell whether the grower of a plot may be named."""
        return self.sees_all or self.disclosed.get(plot) == FieldPlot.Disclosed.GROWER

    def plot_words(self, share: OriginShare) -> str:
        """Return a plot by code and name, or that it is not named here."""
        if self.sees_plot(share.plot):
            return f"{share.plot} {share.plot_name}".strip()
        return _("a plot in the %(valley)s") % {"valley": share.valley} if share.valley else _("a plot")

    def cultivar(self, share: OriginShare) -> str:
        """Return a cultivar's name in the paper's language."""
        return self.cultivar_word(share.cultivar)

    def cultivar_word(self, name: str) -> str:
        """Return the name of a cultivar in the paper's language."""
        return (is_japanese(get_language() or "en") and self.cultivars_ja.get(name)) or name

    def grower_words(self, field: HarvestField) -> str:
        """Return the grower's name, or why it does not stand here."""
        if not field.share.grower:
            return _("not in the book")
        if not self.sees_grower(field.share.plot):
            return _("withheld")
        return field.grower or _("erased")

    def place_words(self, field: HarvestField) -> str:
        """Return the exact place, for an inspector only."""
        return field.place if self.sees_all else ""

    def consignee(self, sent: Sent) -> str:
        """Return a consignee's name; for a buyer a number in its place, the same all through the paper."""
        if self.sees_all:
            return self.parties.get(sent.name) or sent.consignee
        number = self._unnamed.setdefault(sent.consignee, len(self._unnamed) + 1)
        return _("Consignee %(number)s") % {"number": number}

    def withheld(self, fields: tuple[HarvestField, ...], consignments: tuple[Sent, ...]) -> list[str]:
        """Return what this paper leaves out for its reader's eyes, each with its count."""
        if self.sees_all:
            return [_("names of staff; badges stand for them")]
        plots = sum(1 for plot in self.disclosed if not self.sees_plot(plot))
        growers = len({f.share.grower_code for f in fields if f.share.grower and not self.sees_grower(f.share.plot)})
        consignees = len({sent.consignee for sent in consignments})
        left_out = [
            (consignees, ngettext("the name of %(count)s consignee", "the names of %(count)s consignees", consignees)),
            (plots, ngettext("the name of %(count)s plot", "the names of %(count)s plots", plots)),
            (growers, ngettext("the name of %(count)s grower", "the names of %(count)s growers", growers)),
        ]
        places = [_("exact places of fields")] if any(f.place for f in fields) else []
        return [*(text % {"count": count} for count, text in left_out if count), *places, _("names of staff; badges stand for them")]
