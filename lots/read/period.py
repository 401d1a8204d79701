"""The balance of a period: lines, lots, states and closed runs of the whole book in a handful of statements, then arithmetic."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Exists, OuterRef
from django.db.models.functions import Coalesce
from django.utils import timezone

from lots.balance.period import Book, Column, Line, LotFacts, Posting, Sheet, group_of, sheets, worst_state
from lots.balance.posting import postings
from lots.models import Flow, Lot, Step
from lots.read.leaf_states import states_by_step
from lots.read.names import LotName
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES


@dataclass(frozen=True, slots=True)
class Span:
    """A period by its first and last day at the mill, both within it."""

    first_on: dt.date
    last_on: dt.date

    @property
    def first_at(self) -> dt.datetime:
        """The first moment of the period."""
        return midnight(self.first_on)

    @property
    def after_at(self) -> dt.datetime:
        """The first moment after it."""
        return midnight(self.last_on + dt.timedelta(days=1))

    def a_year_before(self) -> Span:
        """Return the same days of the year before; a 29th of February becomes the 28th."""
        return Span(*(year_before(day) for day in (self.first_on, self.last_on)))


def midnight(day: dt.date) -> dt.datetime:
    """Return the first moment of a day at the mill."""
    return timezone.make_aware(dt.datetime(day.year, day.month, day.day))  # noqa: DTZ001 - made aware here


def year_before(day: dt.date) -> dt.date:
    """Return the same day of the year before."""
    return day.replace(year=day.year - 1, day=28 if (day.month, day.day) == (2, 29) else day.day)


class PeriodBook:
    """The book as the balances of any periods need it."""

    def __init__(self) -> None:
        self.lines = all_lines()
        self.names: dict[int, LotName] = {}
        self.steps_of: dict[int, int] = {}
        self.book = self._book()

    def _book(self) -> Book:
        states, wet = states_by_step(), opening_moistures(self.lines)
        lots: dict[int, LotFacts] = {}
        rows = Lot.objects.values_list("pk", "code", "maker_ref", "material", "step_id")
        for pk, code, maker_ref, material, step in rows.order_by("pk"):
            kind = MATERIALS.get(material)
            group = group_of(material, kind.moisture_class, by_product=kind.by_product) if kind else ""
            lots[pk] = LotFacts(group, states.get(step, worst_state(())), wet.get(pk, 0.0))
            self.names[pk], self.steps_of[pk] = LotName(code, maker_ref, material), step
        lasting = frozenset(line.run for line in self.lines if "close" in parts_of(line.stage))
        return Book(self.lines, lots, lasting, closed_runs())

    def postings(self, span: Span) -> list[Posting]:
        """Return every posting of a period."""
        return postings(self.book, span.first_at, span.after_at)

    def sheets(self, span: Span) -> list[Sheet]:
        """Return the balances of a period."""
        return sheets(self.postings(span))

    @cached_property
    def organic_lots(self) -> frozenset[int]:
        """The lots that are organic."""
        return frozenset(pk for pk, facts in self.book.lots.items() if facts.state == "organic")


def parts_of(stage: str) -> tuple[str, ...]:
    """Return the acts of a stage."""
    return STAGES[stage].parts if stage in STAGES else ()


def all_lines() -> list[Line]:
    """Return every line of the book in order of record; a correction stands where the step stands that it corrects."""
    rows = Flow.objects.annotate(
        run=Coalesce("step__corrects__continues_id", "step__corrects_id", "step__continues_id", "step_id"),
        at=Coalesce("step__corrects__happened_at", "step__happened_at"),
        stage=Coalesce("step__corrects__stage", "step__stage"), part=Coalesce("step__corrects__part", "step__part"),
    ).values_list("step_id", "run", "at", "stage", "part", "kind", "role", "lot_id", "mass_mg", "moisture_frac")
    return [Line(*row[:9], float(row[9] or 0)) for row in rows.order_by("pk")]


def opening_moistures(lines: Iterable[Line]) -> dict[int, float]:
    """Return the moisture with which each lot was opened."""
    found: dict[int, float] = {}
    for line in lines:
        if line.kind == "out" and line.lot_id is not None:
            found.setdefault(line.lot_id, line.moisture_frac)
    return found


def closed_runs() -> dict[int, dt.datetime]:
    """Return when runs were closed, where the close stands."""
    gone = Step.objects.filter(corrects=OuterRef("pk"), part="reverse")
    rows = Step.objects.filter(~Exists(gone), part="close", continues__isnull=False)
    return dict(rows.values_list("continues_id", "happened_at"))


@dataclass(frozen=True, slots=True)
class Entered:
    """A posting with the entry that wrote it, and its lot by name."""

    posting: Posting
    entry: int | None
    lot: LotName | None


def entered(book: PeriodBook, some: Sequence[Posting]) -> list[Entered]:
    """Return postings with their entries, in order of event: one statement."""
    steps = {p.step for p in some if p.step is not None}
    entries = dict(Step.objects.filter(pk__in=steps).values_list("pk", "entry_id")) if steps else {}
    return [Entered(p, entries.get(p.step or 0), book.names.get(p.lot_id or 0)) for p in in_order(some)]


def in_order(some: Iterable[Posting]) -> list[Posting]:
    """Return postings in order of event; what stood there comes first."""
    earliest = dt.datetime.min.replace(tzinfo=dt.UTC)
    return sorted(some, key=lambda p: (p.at or earliest, p.step or 0, p.lot_id or 0))


def of_figure(some: Iterable[Posting], group: str, state: str, column: str) -> list[Posting]:
    """Return the postings of one figure."""
    return [p for p in some if p.key == (group, state) and p.column == Column(column)]
