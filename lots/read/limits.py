"""Limits of results: the rows in force on a day, and how results stand to them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from lots.models import LabResult, Limit
from lots.quality.limits import Answer, Bound, Comparison, Found, LimitRow, Result, compare, folded, holds_on
from lots.read.registers import in_force


@dataclass(frozen=True, slots=True)
class Compared:
    """A result beside one row of a limit table."""

    limit: Limit
    found: Comparison

    @property
    def stops(self) -> bool:
        """Whether this is a result that stops a lot: over, by a row that does not only inform."""
        return self.found.answer is Answer.OVER and not self.limit.informs


def figure(text: str) -> Decimal | None:
    """Return a figure that stands as text, None where none stands."""
    return Decimal(text) if text else None


def limit_row(row: Limit) -> LimitRow:
    """Return a row of the register as the arithmetic takes it."""
    return LimitRow(
        row.market, row.parameter, Bound(row.bound), Decimal(row.value), row.unit, row.basis, row.valid_from_on, row.valid_to_on,
    )


def result_of(row: LabResult) -> Result:
    """Return a result of the book as the arithmetic takes it."""
    return Result(
        row.parameter, Found(row.found), row.unit, row.basis, figure(row.value), figure(row.loq), figure(row.u_expanded),
    )


def limits_on(day: dt.date, markets: Sequence[str] = ()) -> list[Limit]:
    """Return the rows that hold on a day, of some markets or of all, by market and parameter."""
    rows = [row for row in in_force(Limit).select_related("checked_by") if holds_on(limit_row(row), day)]
    wanted = {folded(market) for market in markets}
    kept = (row for row in rows if not wanted or folded(row.market) in wanted)
    return sorted(kept, key=lambda row: (row.market, folded(row.parameter), row.code))


def markets_known() -> list[str]:
    """Return the markets of the limit tables; what only informs makes no market."""
    return sorted({row.market for row in in_force(Limit) if not row.informs})


def parameters_known() -> list[str]:
    """Return the parameters of the limit tables, each once."""
    return list({folded(row.parameter): row.parameter for row in in_force(Limit)}.values())


def compared(row: LabResult, limits: Iterable[Limit], day: dt.date) -> tuple[Compared, ...]:
    """Return a result beside every row that speaks of its parameter."""
    own = [limit for limit in limits if folded(limit.parameter) == folded(row.parameter)]
    return tuple(Compared(limit, compare(result_of(row), limit_row(limit), day)) for limit in own)


def not_tested(rows: Iterable[LabResult], limits: Iterable[Limit]) -> list[str]:
    """Return the parameters of the limit tables for which there is no result; rows that only inform ask for none."""
    tested = {folded(row.parameter) for row in rows}
    asked = [limit for limit in limits if not limit.informs and folded(limit.parameter) not in tested]
    return list({folded(limit.parameter): limit.parameter for limit in asked}.values())
