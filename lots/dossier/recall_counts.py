"""The counts of a recall as rows: made, kept, destroyed, gone, here, and what nobody can account for, with its sign."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lots.read.outgoing import SeriesTrace
from lots.read.recalling import RecallAnswer
from lots.recall.accounting import Accounting, percent_words
from lots.recall.facts import SeriesScope
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class Quantity:
    """Counts of one series, or of all series of one product and tier. ``counted`` tells whether somebody counted the
    shelf; where nobody has, what is here is the book's own figure and cannot prove it. ``net_mg`` is by the label."""

    tier: Tier
    product: SeriesTrace
    series: tuple[SeriesScope, ...]
    accounting: Accounting
    counted: bool
    net_mg: int

    @property
    def accounted_count(self) -> int:
        """Everything that was found: kept, destroyed, here, gone to consignees who are known."""
        return self.accounting.found_count

    @property
    def accounted_frac(self) -> Fraction | None:
        """The share of the packs made that was found."""
        return self.accounting.reconciled_frac

    @property
    def bound_mg(self) -> int | None:
        """The most that contact may have brought into the packing runs; None where nobody knows, or no contact is the cause."""
        bounds = [one.bound_mg for one in self.series]
        return None if None in bounds else max((b for b in bounds if b is not None), default=None)


def accounting_of(one: SeriesScope) -> Accounting:
    """Return the counts of a series; the book's own figure stands for a shelf that nobody counted."""
    fact = one.fact
    here = fact.on_hand_count if fact.on_hand_count is not None else max(one.by_book_count, 0)
    return Accounting(fact.made_count, fact.retained_count, fact.destroyed_count, here, one.dispatched_count)


def quantity_of(answer: RecallAnswer, group: Sequence[SeriesScope]) -> Quantity:
    """Return the counts of some series of one product and tier together."""
    total = Accounting(0, 0, 0, 0, 0)
    for one in group:
        total += accounting_of(one)
    first = answer.series[group[0].fact.series]
    counted = all(one.fact.on_hand_count is not None or one.fact.retained_count == one.fact.made_count for one in group)
    return Quantity(group[0].tier, first, tuple(group), total, counted, total.made_count * first.net_mg)


def by_product(answer: RecallAnswer) -> list[Quantity]:
    """Return the counts of each product and tier in the recall, the certain ones first; excluded series are not in it."""
    groups: dict[tuple[Tier, str, int], list[SeriesScope]] = {}
    for one in recalled(answer):
        series = answer.series[one.fact.series]
        groups.setdefault((one.tier, series.product, series.run_no), []).append(one)
    return [quantity_of(answer, group) for group in groups.values()]


def by_series(answer: RecallAnswer) -> list[Quantity]:
    """Return the counts of each series in the recall."""
    return [quantity_of(answer, [one]) for one in recalled(answer)]


def recalled(answer: RecallAnswer) -> list[SeriesScope]:
    """Return the series in the recall, the certain ones first."""
    return [one for one in answer.scope.series if one.tier is not Tier.EXCLUDED]


def total_of(quantities: Iterable[Quantity]) -> Accounting:
    """Return the sum of some counts."""
    total = Accounting(0, 0, 0, 0, 0)
    for each in quantities:
        total += each.accounting
    return total


def exact_percent(value: Fraction | None, nothing: str) -> str:
    """Return a share for paper, "100 %" for an exact whole only; ``nothing`` where there is nothing to divide by."""
    return nothing if value is None else percent_words(value).replace(" %", "\u00a0%")
