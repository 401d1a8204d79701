"""The recall report: one answer as a paper, as a workbook, and as rows for any other program."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from lots.dossier import recall_words as say
from lots.dossier import words
from lots.dossier.frames import framed
from lots.dossier.recall_counts import Quantity, by_product, by_series, exact_percent, total_of
from lots.dossier.recall_outside import outside_points
from lots.dossier.recall_tables import sent_of, tables, tier_reason
from lots.dossier.recall_words import Case
from lots.dossier.tables import Table, csv_chunks, file_name, table_of, workbook
from lots.read.outgoing import Sent
from lots.read.paper_heads import PaperHead, paper_head
from lots.read.recalling import Consignee, RecallAnswer
from lots.recall.accounting import Accounting
from lots.trade.lineage import Tier
from lots.trade.units import g_text, number_text


@dataclass(frozen=True, slots=True)
class Delivery:
    """One delivery as the paper prints it."""

    document: str
    carrier: str
    left: str
    lot: str
    product: str
    packs: str
    numbers: str
    tier: str
    exact: bool


@dataclass(frozen=True, slots=True)
class Called:
    """A consignee with the deliveries that he has, or may have, received."""

    who: Consignee
    deliveries: tuple[Delivery, ...]
    packs: str


@dataclass(frozen=True, slots=True)
class CountRow:
    """The counts of one product or series as the paper prints them."""

    tier: str
    lot: str
    product: str
    cells: tuple[str, ...]
    how: str
    net: str


class RecallReport:
    """One recall report: read once, then handed out as PDF, XLSX or CSV, or shown on a page."""

    def __init__(self, answer: RecallAnswer, case: Case | None = None) -> None:
        self.answer, self.case = answer, case or Case()
        self.head: PaperHead = paper_head()

    @property
    def title(self) -> str:
        """The paper's title."""
        return _("Recall report %(name)s") % {"name": self.answer.start.name}

    @property
    def start(self) -> str:
        """Where the recall begins, in words."""
        return say.start_words(self.answer.start)

    @property
    def lead(self) -> str:
        """The whole answer in a sentence."""
        return say.lead(self.answer)

    def pdf(self) -> bytes:
        """Return the paper. Raises PaperFault."""
        return framed("paper/recall.html", self.title, self.head, {"report": self, "case": self.case})

    def xlsx(self) -> bytes:
        """Return the workbook."""
        return workbook(self.tables(), self.title, self.head.last_entry_at)

    def csv(self, key: str) -> Iterator[bytes] | None:
        """Return one sheet as CSV in chunks; None for a key that no sheet has."""
        table = table_of(self.tables(), key)
        return csv_chunks(table) if table else None

    def tables(self) -> list[Table]:
        """Return every sheet."""
        return tables(self.answer, self.case, self.head)

    def file_name(self, ending: str, sheet: str = "") -> str:
        """Return the file's name."""
        return f"{file_name('recall', self.answer.start.name, sheet)}.{ending}"

    # What the paper and the page show --------------------------------------------------------------------------------

    @property
    def counts(self) -> list[CountRow]:
        """The counts by product and tier."""
        return [count_row(one, one.product.lot.name) for one in by_product(self.answer)]

    @property
    def total(self) -> tuple[str, ...]:
        """The sum of all counts."""
        return count_cells(total_of(by_product(self.answer)))

    @property
    def accounted_percent(self) -> str:
        """The share of the packs made that is accounted for."""
        return exact_percent(total_of(by_product(self.answer)).reconciled_frac, _("not applicable"))

    @property
    def series(self) -> list[dict[str, Any]]:
        """The series in the recall: how a holder of a pack recognises it."""
        return [self.series_row(one) for one in by_series(self.answer)]

    def series_row(self, one: Quantity) -> dict[str, Any]:
        """Return one series."""
        it = one.product
        return {
            "id": it.series, "lot": it.lot.name, "code": words.lot_code(it.lot.code), "product": say.product_name(it),
            "numbers": say.series_numbers(it), "best_before": words.day(it.best_before_on),
            "not_sent": say.not_sent_words(self.answer, it.series), "retained": it.retained,
        }

    @property
    def called(self) -> list[Called]:
        """Consignees whose packs are known by number."""
        return self.by_consignee(exact=True)

    @property
    def may_have(self) -> list[Called]:
        """Consignees who may have received any pack of a series."""
        return self.by_consignee(exact=False)

    def by_consignee(self, *, exact: bool) -> list[Called]:
        """Return deliveries under their consignees."""
        groups: dict[str, list[Sent]] = {}
        for one in sent_of(self.answer, exact=exact):
            groups.setdefault(one.consignee, []).append(one)
        return [
            Called(self.answer.consignees[code], tuple(self.delivery(one) for one in sent),
                   words.count(sum(one.pack_count - one.returned_count for one in sent)))
            for code, sent in groups.items()
        ]

    def delivery(self, one: Sent) -> Delivery:
        """Return one delivery."""
        it = self.answer.series[one.series]
        back = _(" (%(count)s came back)") % {"count": words.count(one.returned_count)} if one.returned_count else ""
        return Delivery(
            one.document_no or _("no number"), one.carrier, words.moment(one.happened_at), it.lot.name, say.product_name(it),
            words.count(one.pack_count) + back, say.numbers(one), say.tier_word(it.tier), one.first_no is not None,
        )

    @property
    def tiers(self) -> list[dict[str, str]]:
        """Every series with its tier and the reason."""
        rows = []
        for scope in self.answer.scope.series:
            it = self.answer.series[scope.fact.series]
            rows.append({
                "tier": say.tier_word(scope.tier), "lot": it.lot.name, "product": say.product_name(it), "numbers": say.series_numbers(it),
                "why": tier_reason(self.answer, it.series),
            })
        return rows

    @property
    def contacts(self) -> list[dict[str, str]]:
        """The machines on which something may have gone over."""
        return [
            {"machine": each.machine, "earlier": each.earlier, "later": each.later, "bound": say.bound_words(each.bound_mg)}
            for each in self.answer.contacts
        ]

    @property
    def lots_here(self) -> list[dict[str, str]]:
        """Leaf and powder in the recall that is still here and not in packs."""
        return [
            {"lot": one.lot.name, "code": words.lot_code(one.lot.code), "material": words.material_word(one.lot.material),
             "mass": words.mass(one.book_mg), "tier": say.tier_word(one.tier)}
            for one in self.answer.lots if one.book_mg > 0 and one.lot.material not in {"packed_tea", "retained_tea"}
        ]

    @property
    def paths(self) -> list[dict[str, str]]:
        """The ways that it took."""
        by_key = {stop.key: stop for stop in self.answer.stops}
        return [
            {"source": f"{words.stage_word(by_key[way.source].stage)} {by_key[way.source].name}",
             "target": f"{words.stage_word(by_key[way.target].stage)} {by_key[way.target].name}",
             "machines": ", ".join(by_key[way.target].machines), "when": words.mill_day(by_key[way.target].first_at),
             "mass": number_text(way.mass_mg / 1_000_000, 2), "share": number_text(100 * way.share_frac, 1),
             "tier": say.tier_word(by_key[way.target].tier)}
            for way in self.answer.ways if way.source in by_key and way.target in by_key
        ]

    @property
    def elsewhere(self) -> str:
        """What other packs the book has."""
        return say.elsewhere(self.answer)

    @property
    def open_points(self) -> list[str]:
        """What is not settled."""
        return [*say.open_points(self.answer), *outside_points(self.answer)]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What every reader has to know."""
        return say.cautions()

    @property
    def has_contact(self) -> bool:
        """Whether anything is in the recall by contact only."""
        return any(one.tier is Tier.TOUCHED for one in self.answer.scope.series) or bool(self.answer.contacts)

    @property
    def root(self) -> str:
        """The root of the journal, in groups that a person can compare."""
        text = self.head.root.hex()
        return " ".join(text[at : at + 8] for at in range(0, len(text), 8))


def count_cells(each: Accounting) -> tuple[str, ...]:
    """Return counts as words: made, kept, destroyed, dispatched, here, accounted for, not accounted for."""
    plain = (each.made_count, each.retained_count, each.destroyed_count, each.dispatched_count, each.on_hand_count, each.found_count)
    return (*(words.count(number) for number in plain), say.signed_count(each.unaccounted_count))


def count_row(one: Quantity, lot: str) -> CountRow:
    """Return one row of counts."""
    net = g_text(one.net_mg, 0, words.language()) if one.net_mg < 1_000_000 else words.mass(one.net_mg)
    return CountRow(
        say.tier_word(one.tier), lot, say.product_name(one.product), count_cells(one.accounting), say.counted_words(one), net,
    )
