"""From which day a plot may be plucked, and how often a product was used in the period."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.intervals import Application, earliest_lawful, first_day, period_began_on, too_early, uses_count

DAY = dt.date(2026, 4, 1)
days = st.integers(0, 90).map(lambda n: DAY + dt.timedelta(days=n))
applications = st.builds(
    Application, step=st.integers(1, 99), applied_on=days, product=st.sampled_from(["Mite stop", "Leaf roller", " mite STOP "]),
    interval_days=st.integers(0, 45),
)


def put(step: int, day: int, interval_days: int, product: str = "Mite stop") -> Application:
    return Application(step, DAY + dt.timedelta(days=day), product, interval_days)


@pytest.mark.parametrize("interval_days", [7, 14, 30])  # intervals as printed in a tea calendar (trade notes, T29)
def test_the_interval_counts_from_the_day_of_application(interval_days: int) -> None:
    found = earliest_lawful([put(1, 0, interval_days)], DAY)
    assert found is not None
    assert found.from_on == DAY + dt.timedelta(days=interval_days)
    assert found.days_left(DAY) == interval_days
    assert not found.is_open(found.from_on - dt.timedelta(days=1))
    assert found.is_open(found.from_on)


def test_the_latest_day_decides_not_the_latest_treatment() -> None:
    long_one, late_one = put(1, 0, 30, "Leaf roller"), put(2, 10, 7)
    found = earliest_lawful([long_one, late_one], DAY + dt.timedelta(days=12))
    assert found is not None
    assert found.decided_by is long_one


def test_of_equal_days_the_one_applied_last_decides() -> None:
    first, second = put(1, 0, 14), put(2, 7, 7)
    for order in ([first, second], [second, first]):
        found = earliest_lawful(order, DAY + dt.timedelta(days=8))
        assert found is not None
        assert found.decided_by is second


def test_what_asks_for_no_interval_and_what_comes_later_decides_nothing() -> None:
    assert earliest_lawful([put(1, 0, 0)], DAY) is None
    assert earliest_lawful([put(1, 5, 30)], DAY) is None
    assert earliest_lawful([], DAY) is None


def test_an_interval_below_nothing_is_a_mistake_of_the_program() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        first_day(put(1, 0, -1))


@given(st.lists(applications, max_size=8), days)
def test_a_plot_is_open_exactly_when_no_interval_is_running(treatments: list[Application], on: dt.date) -> None:
    found = earliest_lawful(treatments, on)
    assert (found is None or found.is_open(on)) == (too_early(treatments, on) == [])


@given(st.lists(applications, min_size=1, max_size=8), days)
def test_one_treatment_more_never_opens_a_plot_earlier(treatments: list[Application], on: dt.date) -> None:
    fewer, all_of_them = earliest_lawful(treatments[1:], on), earliest_lawful(treatments, on)
    if fewer is not None:
        assert all_of_them is not None
        assert all_of_them.from_on >= fewer.from_on


@given(st.lists(applications, max_size=8), days, st.randoms(use_true_random=False))
def test_the_order_of_treatments_does_not_matter(treatments: list[Application], on: dt.date, dice: object) -> None:
    unlike = list({one.step: one for one in treatments}.values())
    shuffled = list(unlike)
    dice.shuffle(shuffled)  # type: ignore[attr-defined]
    assert earliest_lawful(unlike, on) == earliest_lawful(shuffled, on)


def test_uses_count_from_one_plucking_to_the_next() -> None:
    used = [put(1, 0, 7), put(2, 10, 7), put(3, 40, 7), put(4, 45, 7, "Leaf roller")]
    plucked = [DAY + dt.timedelta(days=30)]
    assert uses_count(used, "Mite stop", plucked, DAY + dt.timedelta(days=20)) == 2
    assert uses_count(used, "mite stop ", plucked, DAY + dt.timedelta(days=50)) == 1


def test_a_trim_as_deep_as_a_plucking_begins_a_period_as_a_plucking_does() -> None:
    trimmed = [DAY + dt.timedelta(days=5)]
    assert uses_count([put(1, 0, 7), put(2, 10, 7)], "Mite stop", trimmed, DAY + dt.timedelta(days=20)) == 1
    assert period_began_on(trimmed, DAY + dt.timedelta(days=20)) == trimmed[0]
    assert period_began_on(trimmed, trimmed[0]) is None


@given(st.lists(applications, max_size=8), st.lists(days, max_size=4), days)
def test_an_ending_more_never_raises_the_count(treatments: list[Application], endings: list[dt.date], on: dt.date) -> None:
    whole = uses_count(treatments, "Mite stop", [], on)
    assert 0 <= uses_count(treatments, "Mite stop", endings, on) <= whole <= len(treatments)
