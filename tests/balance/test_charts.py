"""Control charts: what a mill's yields may do, and the corners."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.balance.charts import cusum_chart, ewma_chart, individuals_chart, run_rule_breaches

FIGURES = st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=40)


def test_a_dressing_begins_the_chart_anew() -> None:
    before, after = [75.0, 75.4, 74.9, 75.2], [71.0, 71.3, 70.8]
    whole = individuals_chart(values=[*before, *after], starts=[4])
    assert (whole.start, whole.center) == (4, pytest.approx(np.mean(after)))
    assert whole.beyond == ()
    assert whole.earlier[0].mean_moving_range == individuals_chart(values=before).mean_moving_range
    assert individuals_chart(values=[*before * 3, 60.0, *before * 3]).beyond == (12,)


def test_where_nothing_varies_there_is_no_alarm() -> None:
    chart = individuals_chart(values=[5.0] * 6)
    assert (chart.sigma, chart.upper_limit, chart.lower_limit, chart.beyond) == (0.0, 5.0, 5.0, ())
    assert run_rule_breaches(values=[5.0] * 20, center=5.0, sigma=0.0) == ()
    assert ewma_chart(values=[5.0, 5.0, 5.0]).beyond == ()


@pytest.mark.parametrize("values", [[], [1.0], [1.0, float("nan")]])
def test_too_few_values_or_none_are_refused(values: list[float]) -> None:
    for chart in (individuals_chart, ewma_chart):
        with pytest.raises(ValueError, match="chart"):
            chart(values=values)
    with pytest.raises(ValueError, match="chart"):
        cusum_chart(values=values, target=0.0)


@given(FIGURES, st.floats(-1e3, 1e3))
def test_a_shift_of_all_values_shifts_the_limits_alone(values: list[float], shift: float) -> None:
    here, there = individuals_chart(values=values), individuals_chart(values=[v + shift for v in values])
    assert there.upper_limit - here.upper_limit == pytest.approx(shift, abs=1e-6)
    assert there.sigma == pytest.approx(here.sigma, rel=1e-6, abs=1e-7)


@given(FIGURES)
def test_the_sums_of_a_cusum_mirror_each_other(values: list[float]) -> None:
    up = cusum_chart(values=values, target=0.0, reference_value=1.0, decision_interval=5.0)
    down = cusum_chart(values=[-v for v in values], target=0.0, reference_value=1.0, decision_interval=5.0)
    assert up.high == down.low
    assert up.signals == down.signals
    assert min(*up.high, *up.low) >= 0


def broken(*z: float, rules: str = "western_electric") -> list[tuple[str, int]]:
    return [(breach.rule, breach.position) for breach in run_rule_breaches(values=z, center=0.0, sigma=1.0, rules=rules)]


@pytest.mark.parametrize(("z", "rule", "position"), [
    ((0, 3.1), "1 beyond 3 s", 1),
    ((0, 2.1, 0, 2.2), "2 of 3 beyond 2 s", 3),
    ((1.1, 1.2, -0.5, 1.3, 1.4), "4 of 5 beyond 1 s", 4),
    ((0.1,) * 8, "8 on one side", 7),
])
def test_each_rule_of_western_electric_is_seen(z: tuple[float, ...], rule: str, position: int) -> None:
    assert (rule, position) in broken(*z)
    assert (rule, position) in broken(*(-v for v in z))
    assert broken(*z[:-1]) == []


@pytest.mark.parametrize("z", [(0, 2.1, 0, -2.2), (1.1, 1.2, -1.3, 1.4, -1.5), (0.1,) * 7 + (-0.1,), (2.1, 0, 0, 2.1)])
def test_what_is_no_breach_is_left_alone(z: tuple[float, ...]) -> None:
    assert broken(*z) == []


@pytest.mark.parametrize(("z", "rule"), [
    ((0.1, 0.2, 0.3, 0.4, 0.5, 0.6), "6 rising or falling"),
    ((0.3, -0.3) * 7, "14 up and down"),
    ((0.5, -0.5, 0.9) * 5, "15 within 1 s"),
    ((1.5, -1.5, 1.4, -1.2) * 2, "8 beyond 1 s"),
    ((0.2,) * 9, "9 on one side"),
])
def test_each_further_rule_of_nelson_is_seen(z: tuple[float, ...], rule: str) -> None:
    assert rule in [name for name, _ in broken(*z, rules="nelson")]
    assert rule not in [name for name, _ in broken(*z[:-1], rules="nelson")]


def test_a_breach_names_its_points_and_an_unknown_set_is_refused() -> None:
    found = run_rule_breaches(values=[0.0, 2.1, 0.0, 2.2], center=0.0, sigma=1.0)
    assert found[-1].positions == (1, 2, 3)
    with pytest.raises(ValueError, match="no set of rules"):
        run_rule_breaches(values=[1.0], center=0.0, sigma=1.0, rules="house")
