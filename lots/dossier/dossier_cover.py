"""The cover of a dossier: the whole answer in a sentence, what is withheld, the gravest verdict, the lot in short."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.dossier_balances import headline, verdict_mark
from lots.dossier.dossier_fields import plucked_words
from lots.dossier.eyes import Eyes
from lots.read.dossiers import LotDossier
from lots.read.outgoing import SeriesTrace
from lots.trade.units import percent_text


def series_words(one: SeriesTrace) -> str:
    """Return one series in words: "948 tins of 30 g"."""
    said = _("%(count)s %(kind)s of %(net)s") % {
        "count": words.count(one.made_count), "kind": words.kind_word(one.pack, one.made_count), "net": words.net(one.net_mg),
    }
    return _("%(series)s (kept samples)") % {"series": said} if one.retained else said


class Cover:
    """The cover of one lot for one reader."""

    def __init__(self, facts: LotDossier, eyes: Eyes) -> None:
        self.facts, self.eyes = facts, eyes

    @property
    def stage(self) -> str:
        """The word of the stage that made the lot."""
        return words.stage_word(self.facts.stage)

    @property
    def codes(self) -> list[str]:
        """The codes of the lots."""
        return [words.lot_code(lot.code) for lot in self.facts.trace.lots]

    @property
    def lead(self) -> str:
        """The whole answer in a sentence: what was read, and what is withheld."""
        return _(
            "%(own)s entries of the book touch this lot, %(way)s wrote the way of its leaf; the paper names the place of each. "
            "Withheld: %(withheld)s."
        ) % {
            "own": words.count(len({each.seq for each in self.facts.proof.entries})), "way": words.count(len(self.facts.proof.way_entries)),
            "withheld": _(", ").join(self.withheld),
        }

    @property
    def withheld(self) -> list[str]:
        """What is left out for the reader's eyes."""
        return self.eyes.withheld(self.facts.fields, self.facts.trace.consignments)

    @property
    def headline(self) -> SafeString:
        """The gravest verdict on the way, as a headline."""
        verdict, said = headline(self.facts.flow.nodes)
        return verdict_mark(verdict, said)

    @property
    def what(self) -> str:
        """What the lot is, in words."""
        own = [one for one in self.facts.trace.series if one.step == self.facts.trace.step]
        if own:
            return _(", ").join(series_words(one) for one in own)
        materials = dict.fromkeys(words.material_word(lot.material) for lot in self.facts.trace.lots)
        return f"{_(', ').join(materials)}{_(', ')}{words.mass(self.facts.mass_mg)}"

    @property
    def days(self) -> list[tuple[str, str]]:
        """The days of the lot: packed and best before, or opened."""
        own = [one for one in self.facts.trace.series if one.step == self.facts.trace.step]
        if own:
            best = dict.fromkeys(words.day(one.best_before_on) for one in own)
            return [(_("Packed"), _("%(day)s, best before %(best)s") % {"day": words.day(own[0].packed_on), "best": _(", ").join(best)})]
        stop = self.facts.trace.own
        return [(_("Made"), words.mill_day(stop.last_at))] if stop else []

    @property
    def in_short(self) -> list[tuple[str, str]]:
        """Leaf, growers, plucking and treatments in one line each."""
        fields = self.facts.fields
        if not fields:
            return [(_("Leaf"), _("Where the leaf grew is not in the book."))]
        leaf = dict.fromkeys(
            f"{percent_text(f.share.share_frac, 1, words.language())} {self.eyes.cultivar(f.share)}, {self.eyes.plot_words(f.share)}"
            for f in fields
        )
        sprayed = sum(len(f.treatments) for f in fields)
        treated = ngettext("%(count)s in the year before plucking", "%(count)s in the year before plucking", sprayed) % {"count": sprayed}
        return [
            (_("Leaf"), _("; ").join(leaf)), (_("Grown by"), _(", ").join(dict.fromkeys(self.eyes.grower_words(f) for f in fields))),
            (_("Plucked"), _("; ").join(dict.fromkeys(plucked_words(f) for f in fields))),
            (_("Treatments"), treated if sprayed else _("none in the book in the year before plucking")),
        ]
