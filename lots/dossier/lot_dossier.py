"""The dossier of a lot: everything that the book holds on it and on the way of its leaf, in chapters, for one reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import override

from lots.codes.symbols import qr_modules
from lots.dossier import words
from lots.dossier.claims import ClaimRow, Claims
from lots.dossier.dossier_balances import BalanceRow, balance_rows, verdict_mark
from lots.dossier.dossier_contacts import ContactRow, contact_rows
from lots.dossier.dossier_cover import Cover, series_words
from lots.dossier.dossier_fields import Fields
from lots.dossier.dossier_marks import EntryRow, entry_rows, mark_sentences, way_entry_words
from lots.dossier.dossier_tests import Tests
from lots.dossier.dossier_way import CustodyRow, StepRow, custody_rows, step_rows
from lots.dossier.eyes import Eyes, Reader
from lots.dossier.frames import framed
from lots.dossier.lineage import as_drawn, lineage_sheet, without_ovens
from lots.dossier.symbols import Symbol, SymbolFinisher
from lots.dossier.tables import file_name
from lots.drawing.flow import flow_paper
from lots.drawing.grouping import grouped
from lots.drawing.lineage import lineage_paper
from lots.drawing.twin import flow_rows, lineage_rows
from lots.drawing.words import ENGLISH, JAPANESE, Words
from lots.models import Lot
from lots.read.dossiers import LotDossier, lot_dossier
from lots.read.lot_tests import lot_tests
from lots.trade.language import is_japanese
from lots.trade.lineage import LineageSheet
from lots.trade.weighing import Verdict

#: Where the symbol of the lot's code stands on the first sheet.
SYMBOL = (167.0, 24.5, 29.0)
BOXES_MAX = 40


class LotPaper:
    """One dossier in the language that is switched on, for one reader."""

    def __init__(self, lots: Sequence[Lot], reader: Reader = Reader.BUYER) -> None:
        self.facts: LotDossier = lot_dossier(lots, words.language())
        self.eyes = Eyes(reader, self.facts)
        self.reader = reader
        self.cover = Cover(self.facts, self.eyes)
        self.tests = Tests(lot_tests(lots, [field.share.plot for field in self.facts.fields]), self.facts.fields, self.eyes)
        self.fields = Fields(self.facts.fields, self.facts.trace.origins, self.eyes)

    # The paper -------------------------------------------------------------------------------------------------------

    @property
    def name(self) -> str:
        """What people call the lot."""
        return self.facts.trace.lots[0].name

    @property
    def title(self) -> str:
        """The title."""
        return _("Dossier of lot %(lot)s") % {"lot": self.name}

    @property
    def other_language(self) -> str:
        """The language that the paper is not in."""
        return "en" if is_japanese(words.language()) else "ja"

    @property
    def other_title(self) -> str:
        """The title in the other language."""
        with override(self.other_language):
            return self.title

    def pdf(self) -> bytes:
        """Return the paper. Raises PaperFault."""
        x_mm, y_mm, size_mm = SYMBOL
        code = self.facts.trace.lots[0].code
        finisher = SymbolFinisher({0: [Symbol(x_mm, y_mm, size_mm, qr_modules(code))]})
        return framed("paper/dossier.html", self.title, self.facts.head, {"it": self}, finisher)

    def file_name(self) -> str:
        """Return the file's name."""
        return f"{file_name('dossier', self.name, words.language())}.pdf"

    @property
    def drawing_words(self) -> Words:
        """The drawings' own words."""
        return JAPANESE if is_japanese(words.language()) else ENGLISH

    # 4 and 5 Process and balance -------------------------------------------------------------------------------------

    @property
    def steps(self) -> list[StepRow]:
        """The process steps."""
        return step_rows(self.facts.way)

    @property
    def balances(self) -> list[BalanceRow]:
        """The balances by stage."""
        return balance_rows(self.facts.flow.nodes)

    @property
    def faults(self) -> list[str]:
        """What does not add up or cannot be judged, in sentences."""
        return [f"{row.name}{_(': ')}{row.sentence}" for row in self.balances if row.sentence and row.verdict is not Verdict.ADDS_UP]

    @property
    def open_runs(self) -> str:
        """The jobs on the way that are not closed yet."""
        return _(", ").join(self.facts.flow.open_runs)

    @property
    def flow(self) -> SafeString:
        """The flow as a drawing."""
        named = replace(self.facts.flow.flow, summary=_("The way of lot %(lot)s in kilograms of dry matter.") % {"lot": self.name})
        return SafeString(flow_paper(named, "flow", described_by="flow-table", words=self.drawing_words))

    @property
    def has_flow(self) -> bool:
        """Whether there is anything to draw."""
        return bool(self.facts.flow.flow.stages)

    @property
    def flow_rows(self) -> Any:
        """The same as the drawing in figures."""
        return flow_rows(self.facts.flow.flow, self.drawing_words)

    # 7 and 9 Claims and custody --------------------------------------------------------------------------------------

    @property
    def claims(self) -> list[tuple[ClaimRow, SafeString]]:
        """What the book supports, with its mark."""
        found = Claims(self.facts.trace, self.facts.mass_mg, self.eyes).rows()
        return [(row, verdict_mark(row.verdict, row.answer)) for row in found]

    @property
    def custody(self) -> list[CustodyRow]:
        """The chain of custody."""
        return custody_rows(self.facts, self.eyes)

    @property
    def kept(self) -> list[str]:
        """The kept samples, in sentences."""
        return [
            _("%(packs)s (lot %(code)s), kept at the mill since %(packed)s; best before %(best)s. %(here)s are here by the book.") % {
                "packs": series_words(one), "code": words.lot_code(one.lot.code), "packed": words.day(one.packed_on),
                "best": words.day(one.best_before_on), "here": words.count(one.here_count),
            }
            for one in self.facts.trace.series if one.retained and one.step == self.facts.trace.step
        ]

    # 11 to 14 Marks, lineage, proof ----------------------------------------------------------------------------------

    @property
    def marks(self) -> list[str]:
        """Corrections, questioned figures and holds."""
        return mark_sentences(self.facts.marks)

    @property
    def lineage(self) -> list[SafeString]:
        """The lineage as a drawing, a piece for each sheet."""
        sheet = grouped(as_drawn(without_ovens(self.sheet)), BOXES_MAX, words=self.drawing_words)
        return [SafeString(svg) for svg in lineage_paper(sheet, "lineage", words=self.drawing_words)]

    @property
    def sheet(self) -> LineageSheet:
        """Everything that the lineage tells."""
        return lineage_sheet(self.facts.trace, self.facts.flow.nodes, self.eyes)

    @property
    def ovens_left_out(self) -> bool:
        """Whether the drawing leaves out the ovens, because all of them add up."""
        return without_ovens(self.sheet) != self.sheet

    @property
    def lineage_rows(self) -> list[dict[str, str]]:
        """The same as the lineage in words."""
        named = {"contains": _("contains"), "may have touched": _("may have touched"), "excluded": _("excluded")}
        found = lineage_rows(self.sheet)
        return [
            {"tier": named[row.tier], "source": row.source, "target": row.target, "above": row.above, "below": row.below} for row in found
        ]

    @property
    def contacts(self) -> list[ContactRow]:
        """The machines on which something may have come over, or was shut out."""
        return contact_rows(self.facts.trace)

    @property
    def entries(self) -> list[EntryRow]:
        """The entries of the lot itself."""
        return entry_rows(self.facts)

    @property
    def way_entries(self) -> str:
        """The places of the entries on the way."""
        return way_entry_words(self.facts)

    @property
    def root(self) -> str:
        """The root of the journal, in groups that a person can compare."""
        text = self.facts.proof.root.hex()
        return " ".join(text[at : at + 8] for at in range(0, len(text), 8))

    @property
    def size(self) -> str:
        """How many entries the root is over."""
        return words.count(self.facts.proof.size)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What every reader has to know."""
        return (
            _("The root and the hashes show that no entry was changed, added or left out before the moment named at the foot of the page. "
              "They do not show that an entry was true when it was written."),
            _("Masses are as read on the scales of the mill; moistures that nobody measured are assumed by its rules, and are marked so in "
              "the book."),
            _("What an analysis finds holds for the sample that was analysed. Unless a result says otherwise it was compared as reported."),
            _("Limits and rules change; the rule of the day and the place where the goods are sold decides."),
            _("“The book supports it” says what the records carry. It is no certificate, and no word of any body that certifies."),
            _("In doubt the word of the competent authority goes before this paper."),
        )
