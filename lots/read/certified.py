"""Organic tea against its certified leaf, of a period."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from lots.balance.certified import Certified, certified
from lots.read.balances import SINGLE
from lots.read.closing import expectation
from lots.read.period import PeriodBook, Span
from lots.trade.materials import U_MOISTURE_FRAC

STAGES_OF_LEAF = (*SINGLE, "milling")


def organic_check(book: PeriodBook, span: Span) -> Certified | None:
    """Return the check of a period, nothing where no organic leaf was in the house."""
    sheets = [s for s in book.sheets(span) if s.state == "organic"]
    if not sheets:
        return None
    drawn: dict[tuple[str, int], float] = defaultdict(float)
    for stage, run, dry_mg in draws(book, span):
        drawn[stage, run] += dry_mg
    by_stage: dict[str, list[float]] = defaultdict(list)
    for (stage, _run), dry_mg in drawn.items():
        by_stage[stage].append(dry_mg)
    return certified(sheets, by_stage, {stage: expectation(stage) for stage in by_stage}, received(book, span))


def draws(book: PeriodBook, span: Span) -> Iterator[tuple[str, int, float]]:
    """Yield what closed steps drew of organic leaf in a period."""
    for line in book.lines:
        if line.stage not in STAGES_OF_LEAF or line.kind != "in" or line.lot_id not in book.organic_lots:
            continue
        is_open = line.run in book.book.lasting and line.run not in book.book.closed
        if span.first_at <= line.at < span.after_at and not is_open:
            yield line.stage, line.run, line.dry_mg


def received(book: PeriodBook, span: Span) -> Iterator[float]:
    """Yield the standard uncertainty of each organic delivery that its moisture makes, mg dry."""
    for line in book.lines:
        if line.stage == "harvest" and line.kind == "out" and line.lot_id in book.organic_lots and span.first_at <= line.at < span.after_at:
            yield math.fabs(line.mass_mg) * U_MOISTURE_FRAC["fresh"]
