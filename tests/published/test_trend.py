"""Robust trend against published and recomputed values. Each value names its source."""

from __future__ import annotations

import pytest

from lots.balance.trend import mann_kendall, theil_sen


def test_one_outlier_does_not_bend_the_line() -> None:
    # Helsel & Hirsch, Statistical Methods in Water Resources (from memory): slope 1, intercept 0
    y = [1, 2, 3, 4, 5, 16, 7]
    line = theil_sen(y, range(1, 8))
    assert (line.slope, line.intercept) == (1, 0)
    # recomputed with scipy and with pymannkendall, a second implementation
    test = mann_kendall(y)
    assert (test.s, test.variance) == (19, pytest.approx(44.3333, abs=5e-5))
    assert test.z == pytest.approx(2.703381, abs=5e-7)
    assert test.p == pytest.approx(0.006864, abs=5e-7)


def test_a_rising_sequence() -> None:
    # data from the documentation of a statistics library (docs.rs u-analytics): p < 0.01 and a rising slope
    y = [1.0, 2.3, 3.1, 4.5, 5.2, 6.8, 7.1, 8.9, 9.5, 10.2]
    line, test = theil_sen(y, range(1, 11)), mann_kendall(y)
    assert test.p < 0.01
    assert line.slope > 0
    # recomputed
    assert (test.s, test.variance) == (45, 125)
    assert test.z == pytest.approx(3.935480, abs=5e-7)
    assert test.p == pytest.approx(8.30307e-5, abs=5e-10)
    assert line.slope == pytest.approx(1.05)
    assert line.intercept == pytest.approx(0.225)


def test_a_falling_stone() -> None:
    # constructed; scipy's theilslopes and pymannkendall agree
    y = [31.2, 30.8, 30.9, 30.1, 29.9, 30.2, 29.4, 29.1, 29.3, 28.7]
    line, test = theil_sen(y, range(1, 11)), mann_kendall(y)
    assert (test.s, test.variance) == (-37, 125)
    assert test.z == pytest.approx(-3.219938, abs=5e-7)
    assert test.p == pytest.approx(0.00128218, abs=5e-9)
    assert line.slope == pytest.approx(-0.266667, abs=5e-7)
    assert (line.low, line.high) == (pytest.approx(-0.325), pytest.approx(-0.200))
    assert line.intercept == pytest.approx(31.466667, abs=5e-7)


def test_ties_lower_the_variance() -> None:
    # Var S = [n(n-1)(2n+5) - sum g(g-1)(2g+5)]/18, Kendall 1975 (from memory): n = 6, one group of 3
    test = mann_kendall([1, 2, 2, 2, 3, 4])
    assert test.variance == pytest.approx((6 * 5 * 17 - 3 * 2 * 11) / 18)
    assert test.s == 12
