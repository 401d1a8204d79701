"""Frozen facts that a recall starts from, and the records that a scope is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from lots.recall.accounting import Accounting
from lots.recall.ranges import RecallError, Span, Spans
from lots.trade.language import Said
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class SeriesFact:
    """One series of like packs: numbers ``first_no`` to ``last_no`` of run ``run_code``, made by ``step`` into ``lot``.

    ``void_count`` numbers never became a good pack; ``retained_count`` packs are kept as samples, ``destroyed_count``
    were destroyed before the case. ``on_hand_count`` is what somebody counted on the shelf (None: nobody has).
    Raises RecallError for numbers that run backwards, a count below zero, or more packs void than numbered.
    """

    series: int
    run_code: str
    product: str
    first_no: int
    last_no: int
    step: int
    lot: str
    void_count: int = 0
    retained_count: int = 0
    destroyed_count: int = 0
    on_hand_count: int | None = None

    def __post_init__(self) -> None:
        if min(self.void_count, self.retained_count, self.destroyed_count, self.on_hand_count or 0) < 0:
            raise RecallError(f"Run {self.run_code} has a count of packs below zero. Look at its counts.")
        if self.void_count > self.span.count:
            raise RecallError(f"Run {self.run_code} has {self.void_count} void packs of {self.span.count} numbers.")

    @property
    def span(self) -> Span:
        return Span(self.first_no, self.last_no)

    @property
    def made_count(self) -> int:
        """Packs made good."""
        return self.span.count - self.void_count


@dataclass(frozen=True, slots=True)
class ShipmentFact:
    """``count`` packs of one series sent to ``consignee`` with ``document`` on ``date``.

    ``first_no`` and ``last_no`` are their numbers; both None where only the count was written down. Packs that came
    back before the case are no longer dispatched: ``returned_count``.
    Raises RecallError for one number without the other, numbers that run backwards, a count below zero, or more packs
    back than were sent.
    """

    series: int
    consignee: str
    first_no: int | None
    last_no: int | None
    count: int
    document: str
    date: date
    returned_count: int = 0

    def __post_init__(self) -> None:
        if (self.first_no is None) != (self.last_no is None):
            raise RecallError(f"{self.document} to {self.consignee} names one end of a range of packs. Add the other.")
        if not 0 <= self.returned_count <= self.count:
            raise RecallError(
                f"{self.document} to {self.consignee}: {self.count} packs sent, {self.returned_count} back. "
                f"Look at both counts."
            )
        if self.first_no is not None and self.last_no is not None:
            Span(self.first_no, self.last_no)

    @property
    def span(self) -> Span | None:
        """Its numbers; None where only the count is known."""
        return None if self.first_no is None or self.last_no is None else Span(self.first_no, self.last_no)

    @property
    def dispatched_count(self) -> int:
        return self.count - self.returned_count


@dataclass(frozen=True, slots=True)
class SeriesScope:
    """One series in a scope, with its counts.

    ``bound_mg`` is the most that contact may have brought (None: not known, or not a matter of contact); ``reason``
    says why an excluded series is excluded. ``not_sent`` are the numbers that no shipment took away (None where a
    shipment has only a count, or came back in part, so that nobody can tell).
    """

    fact: SeriesFact
    tier: Tier
    dispatched_count: int
    not_sent: Spans | None
    bound_mg: int | None = None
    reason: str = ""

    @property
    def by_book_count(self) -> int:
        """What should be on the shelf."""
        fact = self.fact
        return fact.made_count - fact.retained_count - fact.destroyed_count - self.dispatched_count

    @property
    def accounting(self) -> Accounting | None:
        """The series in the arithmetic of a recall; None where nobody has counted the shelf."""
        fact = self.fact
        if fact.on_hand_count is None:
            return None
        return Accounting(
            fact.made_count, fact.retained_count, fact.destroyed_count, fact.on_hand_count, self.dispatched_count
        )

    @property
    def unaccounted_count(self) -> int | None:
        """Made less everything found, with its sign; None where nobody has counted: the book cannot prove itself."""
        return None if self.accounting is None else self.accounting.unaccounted_count


@dataclass(frozen=True, slots=True)
class Delivery:
    """Packs of a series in scope that went to a consignee, as `ShipmentFact` has it; ``tier`` is that of the series."""

    shipment: ShipmentFact
    fact: SeriesFact
    tier: Tier


@dataclass(frozen=True, slots=True)
class RecallScope:
    """What has to come back. ``series`` holds the certain ones first, then the possible, then the excluded.

    ``exact`` gives each consignee the deliveries whose numbers are known; ``may_have_received`` those of which only a
    count was written down, to be printed apart and marked so. Excluded series are in neither.
    ``questions`` are sentences about facts that contradict each other; somebody has to look before the lists are used.
    """

    series: tuple[SeriesScope, ...]
    exact: Mapping[str, tuple[Delivery, ...]]
    may_have_received: Mapping[str, tuple[Delivery, ...]]
    questions: tuple[Said, ...]

    def of_tier(self, tier: Tier) -> tuple[SeriesScope, ...]:
        """The series of one tier."""
        return tuple(each for each in self.series if each.tier is tier)

    @property
    def dispatched_by_consignee(self) -> dict[str, int]:
        """Packs that each consignee has had and not sent back, exact and by count only, for the answers to come."""
        totals: dict[str, int] = {}
        for lists in (self.exact, self.may_have_received):
            for consignee, deliveries in lists.items():
                sent = sum(each.shipment.dispatched_count for each in deliveries)
                totals[consignee] = totals.get(consignee, 0) + sent
        return dict(sorted(totals.items()))

    @property
    def uncounted(self) -> tuple[SeriesScope, ...]:
        """Series in the recall whose shelf nobody has counted."""
        return tuple(each for each in self.series if each.tier is not Tier.EXCLUDED and each.accounting is None)

    @property
    def accounting(self) -> Accounting | None:
        """All series in the recall (certain and possible) taken together; None while one of them is uncounted."""
        counted = [each.accounting for each in self.series if each.tier is not Tier.EXCLUDED]
        total = Accounting(0, 0, 0, 0, 0)
        for each in counted:
            if each is None:
                return None
            total += each
        return total
