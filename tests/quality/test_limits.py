"""A result beside a limit: three answers, exact units, the uncertainty said beside and never taken off in silence."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from lots.quality.limits import Answer, Bound, Doubt, Found, LimitRow, Result, compare, converted

DAY = dt.date(2026, 11, 2)


def limit(value: str = "10", unit: str = "ug/kg", bound: Bound = Bound.AT_MOST, basis: str = "as sold", **days: dt.date) -> LimitRow:
    return LimitRow("EU", "Benzo(a)pyrene", bound, Decimal(value), unit, basis, **days)


def result(value: str | None, unit: str = "ug/kg", found: Found = Found.VALUE, basis: str = "as sold", loq: str = "", u: str = "") -> Result:
    figures = (Decimal(text) if text else None for text in (value, loq, u))
    return Result("benzo(a)pyrene ", found, unit, basis, *figures)


@pytest.mark.parametrize(("value", "unit", "u", "answer", "doubt"), [
    ("10.0", "ug/kg", "", Answer.WITHIN, Doubt.NONE),
    ("10.1", "ug/kg", "", Answer.OVER, Doubt.NONE),
    ("0.0101", "mg/kg", "", Answer.OVER, Doubt.NONE),
    ("0.010", "mg/kg", "", Answer.WITHIN, Doubt.NONE),
    ("11", "ug/kg", "2", Answer.OVER, Doubt.OVER_IN_DOUBT),
    ("12", "ug/kg", "2", Answer.OVER, Doubt.OVER_IN_DOUBT),
    ("12.1", "ug/kg", "2", Answer.OVER, Doubt.BEYOND),
    ("9", "ug/kg", "2", Answer.WITHIN, Doubt.WITHIN_IN_DOUBT),
    ("8", "ug/kg", "2", Answer.WITHIN, Doubt.NONE),
    ("8", "ug/kg", "0", Answer.WITHIN, Doubt.NONE),
])
def test_the_value_itself_is_compared_and_the_doubt_is_said(value: str, unit: str, u: str, answer: Answer, doubt: Doubt) -> None:
    found = compare(result(value, unit, u=u), limit(), DAY)
    assert (found.answer, found.doubt, found.why) == (answer, doubt, None)


@pytest.mark.parametrize(("value", "u", "answer", "doubt"), [
    ("32", "", Answer.WITHIN, Doubt.NONE), ("31.9", "", Answer.OVER, Doubt.NONE), ("31", "2", Answer.OVER, Doubt.OVER_IN_DOUBT),
    ("29", "2", Answer.OVER, Doubt.BEYOND), ("33", "2", Answer.WITHIN, Doubt.WITHIN_IN_DOUBT),
])
def test_a_floor_is_fallen_short_of(value: str, u: str, answer: Answer, doubt: Doubt) -> None:
    found = compare(result(value, "g/100 g", u=u, basis="dry"), limit("32", "g/100 g", Bound.AT_LEAST, "dry"), DAY)
    assert (found.answer, found.doubt) == (answer, doubt)


@pytest.mark.parametrize(("one", "why"), [
    (result("3", "Bq/kg"), "Bq/kg cannot be turned into ug/kg."),
    (result("3", basis="dry"), "The result is on the basis dry, the limit on the basis as sold."),
    (result(None, found=Found.BELOW_LOQ, loq="11"), "The limit of quantification is above the limit."),
    (result(None, found=Found.BELOW_LOQ), "The limit of quantification was not reported."),
    (result("3", loq="11"), "The limit of quantification is above the limit."),
    (result(None, found=Found.NOT_DETECTED), "The laboratory says only whether it is there, not how much."),
    (result(None, found=Found.DETECTED), "The laboratory says only whether it is there, not how much."),
    (result(None), "No value was reported."),
])
def test_what_cannot_be_laid_side_by_side_says_why(one: Result, why: str) -> None:
    found = compare(one, limit(), DAY)
    assert (found.answer, found.why) == (Answer.NOT_COMPARABLE, why)
    assert found.why is not None
    assert found.why.text("ja") != why


def test_below_the_limit_of_quantification_is_within_a_higher_ceiling_and_short_of_a_higher_floor() -> None:
    low = result(None, found=Found.BELOW_LOQ, loq="1")
    assert compare(low, limit(), DAY).answer is Answer.WITHIN
    assert compare(low, limit(bound=Bound.AT_LEAST), DAY).answer is Answer.OVER


def test_a_row_holds_on_its_days_only() -> None:
    days = {"valid_from_on": DAY, "valid_to_on": DAY}
    assert compare(result("3"), limit(**days), DAY).answer is Answer.WITHIN
    for other in (DAY - dt.timedelta(days=1), DAY + dt.timedelta(days=1)):
        assert compare(result("3"), limit(**days), other).answer is Answer.NOT_COMPARABLE


def test_only_exact_ways_lead_from_unit_to_unit() -> None:
    assert converted(Decimal(75), "ug/kg", "mg/kg") == Decimal("0.075")
    assert converted(Decimal("6.0"), "g/100 g", "g/kg") == Decimal(60)
    assert converted(Decimal(1), "mg/kg", "Bq/kg") is None
    assert converted(Decimal(1), "furlong", "furlong") is None


def test_another_parameter_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="is not"):
        compare(Result("lead", Found.VALUE, "mg/kg", "as sold", Decimal(1)), limit(), DAY)
