"""Bags against each other, deliveries against the plot's history."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.slips import kg_per_10_a, mean_is_odd, odd_bags, usual_bag_mg, yield_is_odd

KG = 1_000_000


def test_a_bag_at_double_or_half_the_mean_is_odd_and_named() -> None:
    assert odd_bags([20 * KG, 19 * KG, 41 * KG, 20 * KG]) == [3]
    assert odd_bags([20 * KG, 19 * KG, 9 * KG, 20 * KG]) == [3]
    assert odd_bags([20 * KG, 19 * KG, 12 * KG, 28 * KG]) == []


def test_of_two_bags_nobody_can_say_which_is_odd() -> None:
    assert odd_bags([20 * KG, 40 * KG]) == []


@given(st.lists(st.integers(15 * KG, 25 * KG), min_size=3, max_size=20))
def test_bags_of_one_kind_are_never_odd(bags: list[int]) -> None:
    assert odd_bags(bags) == []


@given(st.lists(st.integers(15 * KG, 25 * KG), min_size=4, max_size=20), st.integers(0, 19))
def test_a_bag_with_a_figure_doubled_by_ten_is_found(bags: list[int], place: int) -> None:
    slipped = [mass * 10 if no == place % len(bags) else mass for no, mass in enumerate(bags)]
    assert place % len(bags) + 1 in odd_bags(slipped)


def test_a_usual_bag_needs_three_deliveries() -> None:
    assert usual_bag_mg([20.0 * KG, 19.0 * KG]) is None
    assert usual_bag_mg([20.0 * KG, 19.0 * KG, 40.0 * KG]) == 20.0 * KG


@pytest.mark.parametrize(("mean", "odd"), [(20, False), (32, False), (33, True), (12.5, False), (12, True)])
def test_a_mean_far_off_the_usual_bag_is_odd(mean: float, odd: bool) -> None:
    assert mean_is_odd(mean * KG, 20 * KG) is odd
    assert mean_is_odd(mean * KG, None) is False


def test_national_yield_in_its_own_unit() -> None:  # 419 kg per 10 a in the first flush of 2021 (trade notes, T12)
    assert kg_per_10_a(419 * KG, 10.0) == 419.0
    with pytest.raises(ValueError, match="area"):
        kg_per_10_a(1, 0)


def test_a_flush_that_brings_far_more_than_ever_is_odd() -> None:
    assert yield_is_odd(700, [400, 430])
    assert not yield_is_odd(600, [400, 430])
    assert not yield_is_odd(9000, [])
    assert not yield_is_odd(9000, [400])
