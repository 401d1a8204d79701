"""A laboratory's result beside one row of a limit table: within, over, or not comparable.

The rule by name is ``value itself``: the reported value is compared, without subtracting or adding its uncertainty (simple
acceptance, JCGM 106:2012). The expanded uncertainty then says how an official control would read the same figure: it counts a
lot as over only beyond reasonable doubt, after the uncertainty was taken off (Regulation (EC) No 333/2007, Annex, part D.2, for the
contaminants that it covers). The word of the authority goes before this rule.
"""

from __future__ import annotations

import datetime as dt
import enum
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from lots.trade.language import Said


class Answer(enum.StrEnum):
    """The three answers."""

    WITHIN = "within"
    OVER = "over"
    NOT_COMPARABLE = "not comparable"


class Found(enum.StrEnum):
    """What a laboratory reports: a value, less than it can quantify, or only whether the thing is there."""

    VALUE = "value"
    BELOW_LOQ = "below LOQ"
    DETECTED = "detected"
    NOT_DETECTED = "not detected"


class Bound(enum.StrEnum):
    """On which side of the limit a result has to lie."""

    AT_MOST = "at most"
    AT_LEAST = "at least"


class Doubt(enum.StrEnum):
    """How the expanded uncertainty reads the answer."""

    NONE = ""
    BEYOND = "over beyond doubt"
    OVER_IN_DOUBT = "over, within uncertainty"
    WITHIN_IN_DOUBT = "within, but its uncertainty reaches over"


#: Units by what they measure, with the exact factor to the first of their kind. Nothing leads from one kind to another.
UNITS = MappingProxyType({
    "mg/kg": ("mass", Decimal(1)), "ug/kg": ("mass", Decimal("0.001")), "g/kg": ("mass", Decimal(1000)),
    "g/100 g": ("mass", Decimal(10_000)), "Bq/kg": ("activity", Decimal(1)), "um": ("length", Decimal(1)),
    "CFU/g": ("germs", Decimal(1)), "in 25 g": ("presence", Decimal(1)), "% of ash": ("part of ash", Decimal(1)),
    "ratio": ("ratio", Decimal(1)),
})
BASES = ("as sold", "dry", "infusion")


@dataclass(frozen=True, slots=True)
class Result:
    """One result: ``value``, ``loq`` and ``u_expanded`` in ``unit`` on ``basis``; the expanded uncertainty is U, not k·u of ours."""

    parameter: str
    found: Found
    unit: str
    basis: str
    value: Decimal | None = None
    loq: Decimal | None = None
    u_expanded: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One row of a limit table; it holds from ``valid_from_on`` to ``valid_to_on``, both within it, None: open."""

    market: str
    parameter: str
    bound: Bound
    value: Decimal
    unit: str
    basis: str
    valid_from_on: dt.date | None = None
    valid_to_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """The answer, what the uncertainty says to it, and why where the two cannot be laid side by side."""

    answer: Answer
    doubt: Doubt = Doubt.NONE
    why: Said | None = None


def folded(parameter: str) -> str:
    """Return the name of a parameter as it is matched: capitals and spaces do not matter."""
    return " ".join(parameter.casefold().split())


def holds_on(row: LimitRow, day: dt.date) -> bool:
    """Tell whether a row holds on a day."""
    return (row.valid_from_on is None or row.valid_from_on <= day) and (row.valid_to_on is None or day <= row.valid_to_on)


def converted(value: Decimal, unit: str, to_unit: str) -> Decimal | None:
    """Return a value in another unit, exactly; None where no exact way leads there (mg/kg and Bq/kg)."""
    kind, factor = UNITS.get(unit, ("", Decimal(0)))
    to_kind, to_factor = UNITS.get(to_unit, ("", Decimal(1)))
    return value * factor / to_factor if kind and kind == to_kind else None


def compare(result: Result, limit: LimitRow, day: dt.date) -> Comparison:
    """Return how a result stands to a row of the table on a day.

    Raises ValueError where result and row speak of different parameters: laying those side by side is a mistake of the caller.
    """
    if folded(result.parameter) != folded(limit.parameter):
        raise ValueError(f"{result.parameter} is not {limit.parameter}")
    why = not_comparable(result, limit, day)
    if why is not None:
        return Comparison(Answer.NOT_COMPARABLE, why=why)
    if below_loq(result):
        return Comparison(Answer.WITHIN if limit.bound is Bound.AT_MOST else Answer.OVER)
    value = in_limit_unit(result.value, result, limit)
    u_expanded = in_limit_unit(result.u_expanded, result, limit)
    over_by = value - limit.value if limit.bound is Bound.AT_MOST else limit.value - value
    if over_by > 0:
        return Comparison(Answer.OVER, doubt_over(over_by, u_expanded if result.u_expanded is not None else None))
    near = result.u_expanded is not None and over_by + u_expanded > 0
    return Comparison(Answer.WITHIN, Doubt.WITHIN_IN_DOUBT if near else Doubt.NONE)


def in_limit_unit(value: Decimal | None, result: Result, limit: LimitRow) -> Decimal:
    """Return a figure of a result in the unit of the limit; nothing given is nothing."""
    return converted(value or Decimal(0), result.unit, limit.unit) or Decimal(0)


def doubt_over(over_by: Decimal, u_expanded: Decimal | None) -> Doubt:
    """Return what the uncertainty says to a result that is over."""
    if u_expanded is None:
        return Doubt.NONE
    return Doubt.BEYOND if over_by > u_expanded else Doubt.OVER_IN_DOUBT


def below_loq(result: Result) -> bool:
    """Tell whether a result is less than the laboratory can quantify, however it was written."""
    if result.found is Found.BELOW_LOQ:
        return True
    return result.value is not None and result.loq is not None and result.value < result.loq


def not_comparable(result: Result, limit: LimitRow, day: dt.date) -> Said | None:
    """Return why a result and a limit cannot be laid side by side, None where they can."""
    if not holds_on(limit, day):
        return Said("The limit does not hold on that day.", "この基準値はその日には有効ではありません。")
    if result.basis != limit.basis:
        return Said(
            f"The result is on the basis {result.basis}, the limit on the basis {limit.basis}.",
            f"結果は{BASIS_JA.get(result.basis, result.basis)}、基準値は{BASIS_JA.get(limit.basis, limit.basis)}の値です。",
        )
    if converted(Decimal(1), result.unit, limit.unit) is None:
        return Said(f"{result.unit} cannot be turned into {limit.unit}.", f"{result.unit} は {limit.unit} に換算できません。")
    if result.found in {Found.DETECTED, Found.NOT_DETECTED}:
        return Said("The laboratory says only whether it is there, not how much.", "検出の有無だけで、量が示されていません。")
    return loq_too_high(result, limit)


def loq_too_high(result: Result, limit: LimitRow) -> Said | None:
    """Return why a result below the limit of quantification says nothing about a limit, None where it does."""
    if not below_loq(result):
        return None if result.value is not None else Said("No value was reported.", "値の報告がありません。")
    if result.loq is None:
        return Said("The limit of quantification was not reported.", "定量下限の報告がありません。")
    if in_limit_unit(result.loq, result, limit) > limit.value:
        return Said("The limit of quantification is above the limit.", "定量下限が基準値より高くなっています。")
    return None


BASIS_JA = MappingProxyType({"as sold": "販売状態", "dry": "乾物", "infusion": "浸出液"})
