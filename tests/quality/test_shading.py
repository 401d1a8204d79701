"""Days under cover, computed: layers and gaps told apart."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.shading import Cover, of_flush, shade

DAY = dt.date(2026, 4, 1)


def day(n: int) -> dt.date:
    return DAY + dt.timedelta(days=n)


covers = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 25), st.integers(1, 3)).map(lambda t: Cover(day(t[0]), day(t[0] + t[1]), t[2])), max_size=5,
)


def test_one_layer_of_twenty_days() -> None:  # the Kyoto trial of 1995-97: one layer, 20 days (trade notes, T9)
    found = shade([Cover(day(0))], day(20))
    assert found is not None
    assert (found.covered_days, found.layer_days, found.gap_days, found.until_plucking) == (20, ((1, 20),), 0, True)


def test_ten_days_under_one_layer_then_twenty_under_two() -> None:  # the trial of 1998-2000: 10 + 20 = 30 days (T9)
    found = shade([Cover(day(0)), Cover(day(10))], day(30))
    assert found is not None
    assert (found.covered_days, found.layer_days) == (30, ((1, 10), (2, 20)))


def test_a_cover_that_was_off_in_between_leaves_a_gap() -> None:
    found = shade([Cover(day(0), day(8)), Cover(day(11), day(20))], day(22))
    assert found is not None
    assert (found.covered_days, found.gap_days, found.until_plucking) == (17, 3, False)


def test_nothing_lay_before_the_first_cover_went_on() -> None:
    assert shade([Cover(day(5))], day(4)) is None
    assert shade([], day(4)) is None


def test_a_cover_that_came_off_before_it_went_on_is_a_mistake_of_the_program() -> None:
    with pytest.raises(ValueError, match="before it goes on"):
        shade([Cover(day(5), day(4))], day(9))


@given(covers, st.integers(0, 70).map(day))
def test_days_are_the_days_on_which_something_lay(laid: list[Cover], on: dt.date) -> None:
    found = shade(laid, on)
    lit = {d for one in laid for d in map(day, range(70)) if one.covered_on <= d < min(one.uncovered_on or on, on)}
    assert (found.covered_days if found else 0) == len(lit)
    if found is not None:
        assert sum(days for _, days in found.layer_days) == found.covered_days
        assert found.covered_days + found.gap_days <= max(0, (on - found.covered_on).days)


def test_the_covers_of_the_flush_before_are_left_out() -> None:
    old, new = Cover(day(0), day(20)), Cover(day(40))
    assert of_flush([old, new], day(21), 120, day(60)) == [new]
    assert of_flush([old, new], None, 120, day(60)) == [old, new]
    assert of_flush([old, new], None, 30, day(60)) == [new]
