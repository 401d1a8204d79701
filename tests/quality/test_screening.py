"""Sieve tables and sizes: what holds for any powder, and the corners."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.screening import (
    fit_rosin_rammler,
    lognormal_size_um,
    moment_mean_um,
    recovery,
    rosin_rammler_size,
    sauter_mean_um,
    screen_result,
    sieve_table,
    size_at,
    sizes_of,
    two_product_split,
)

OPENINGS = [425, 250, 150, 106, 75, 45]


@given(st.lists(st.integers(0, 10**6), min_size=6, max_size=6), st.integers(1, 10**6))
def test_shares_fall_from_coarse_to_fine_and_sizes_lie_between_openings(kept: list[int], pan: int) -> None:
    table = sieve_table(OPENINGS, kept, pan)
    assert list(table.finer_frac) == sorted(table.finer_frac, reverse=True)
    for rule in ("log", "linear"):
        sizes = sizes_of(table, rule)
        known = [d for d in (sizes.d10_um, sizes.d50_um, sizes.d90_um) if d is not None]
        assert known == sorted(known)
        assert all(45 <= d <= 425 + 1e-9 for d in known)


def test_nothing_is_extrapolated() -> None:
    table = sieve_table(OPENINGS, [0, 0, 10, 20, 30, 0], 40)
    assert size_at(table, 0.1) is None
    assert sizes_of(table).span_frac is None
    assert size_at(table, 0.7) == pytest.approx(106)


def test_the_rule_of_interpolation_matters_and_is_named() -> None:
    table = sieve_table([100, 10], [50, 50], 0)
    assert size_at(table, 0.25, "log") == pytest.approx(10 * 10**0.5)
    assert size_at(table, 0.25, "linear") == pytest.approx(55)
    with pytest.raises(ValueError, match="log and linear"):
        size_at(table, 0.5, "cubic")


def test_a_mean_of_sizes_lies_among_them() -> None:
    assert sauter_mean_um([10, 20], [0.5, 0.5]) == pytest.approx(13.333333)
    assert moment_mean_um([10, 10.001], [5], 3, 2) == pytest.approx(10, rel=1e-3)


@pytest.mark.parametrize("wrong", [
    lambda: sieve_table([100, 150], [1, 1], 0), lambda: sieve_table([150, 100], [1, -1], 0), lambda: sieve_table([150], [0], 0),
    lambda: two_product_split(0.5, 0.4, 0.4), lambda: two_product_split(0.9, 0.5, 0.4), lambda: recovery(0.0, 0.4, 0.0),
    lambda: screen_result(feed_mg=1, oversize_mg=1, undersize_mg=0, feed_fines_frac=1.0, oversize_fines_frac=0, undersize_fines_frac=1),
    lambda: rosin_rammler_size(1.0, 5, 1), lambda: lognormal_size_um(0.0, 5, 1), lambda: fit_rosin_rammler([1, 2], [1.0, 0.0]),
    lambda: sauter_mean_um([], []), lambda: moment_mean_um([1, 2], [1], 2, 2),
])
def test_what_cannot_be_reckoned_is_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        wrong()  # type: ignore[operator]
