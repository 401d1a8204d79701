"""Best-before by rule: never typed free, never promising more in print than the rule."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.trade.best_before import BestBefore, months_later
from lots.trade.language import Refused

DAY = dt.date(2026, 8, 31)
days = st.dates(dt.date(2000, 1, 1), dt.date(2090, 1, 1))


@pytest.mark.parametrize(("rule", "end"), [
    (BestBefore(180), dt.date(2027, 2, 27)),
    (BestBefore(180, 6), dt.date(2027, 2, 28)),
    (BestBefore(0, 12), dt.date(2027, 8, 31)),
    (BestBefore(180, form="month"), dt.date(2027, 1, 31)),
    (BestBefore(0, 6, form="month"), dt.date(2027, 2, 28)),
])
def test_the_day_follows_from_the_rule(rule: BestBefore, end: dt.date) -> None:
    assert rule.on(DAY) == end


def test_a_leap_day_ends_in_february() -> None:
    assert months_later(dt.date(2028, 2, 29), 12) == dt.date(2029, 2, 28)
    assert months_later(dt.date(2026, 12, 31), 2) == dt.date(2027, 2, 28)


# Food Labeling Standards of Japan: year and month alone only where the time is longer than three months.
@pytest.mark.parametrize("rule", [BestBefore(0, 3, form="month"), BestBefore(90, form="month")])
def test_a_short_time_is_not_printed_as_a_month(rule: BestBefore) -> None:
    with pytest.raises(Refused, match="more than three months"):
        rule.on(DAY)


def test_a_product_without_a_rule_is_refused() -> None:
    with pytest.raises(Refused, match="no best-before rule"):
        BestBefore(0).on(DAY)


@given(days, st.integers(min_value=4, max_value=60))
def test_a_month_in_print_never_promises_more(day: dt.date, months: int) -> None:
    exact, printed = BestBefore(0, months).on(day), BestBefore(0, months, form="month").on(day)
    assert printed <= exact
    assert (printed + dt.timedelta(days=1)).day == 1


@given(days, st.integers(min_value=1, max_value=60), st.integers(min_value=0, max_value=60))
def test_later_packs_are_never_due_earlier(day: dt.date, months: int, more: int) -> None:
    assert BestBefore(0, months).on(day) <= BestBefore(0, months).on(day + dt.timedelta(days=more))


def test_the_rule_is_said_in_words() -> None:
    assert BestBefore(180).words() == "180 days from packing, printed as a day"
    assert BestBefore(0, 6, "milling", "month").words() == "6 months from milling, printed as year and month"
    assert BestBefore(0, 6, "milling", "month").words("ja") == "挽いた日から6か月、年月で表示"
