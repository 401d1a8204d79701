"""Control charts against the NIST/SEMATECH e-Handbook of Statistical Methods and published average run lengths."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lots.balance.charts import D2_EXACT, RULE_SETS, cusum_chart, ewma_chart, individuals_chart

FLOW_RATE = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
EWMA_DATA = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
EWMA_PRINTED = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73,
                51.23, 51.94, 51.99]
CUSUM_DATA = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625, 325.150, 328.325,
              327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350]


def test_individuals_of_the_handbook() -> None:
    """e-Handbook 6.3.2.2, flow rate; it takes d2 = 1.128."""
    chart = individuals_chart(values=FLOW_RATE, d2=1.128)
    assert (chart.center, round(chart.mean_moving_range, 4)) == (pytest.approx(50.81), 1.8778)
    assert chart.upper_limit == pytest.approx(55.8041, abs=5e-5)
    assert chart.lower_limit == pytest.approx(45.8159, abs=5e-5)
    exact = individuals_chart(values=FLOW_RATE)
    assert exact.upper_limit == pytest.approx(55.80241, abs=5e-6)  # computed for this project, with 2/√π
    assert exact.moving_range_upper_limit == pytest.approx(6.1347, abs=1e-3)  # one copy of the handbook prints 6.1349
    assert chart.beyond == exact.beyond == ()


def test_the_exact_constants_round_to_those_of_handbooks() -> None:
    """ASTM manual on presentation of data: d2 1.128, 3/d2 2.66, D4 3.267 for ranges of two (from memory)."""
    chart = individuals_chart(values=[0.0, 1.0])
    assert round(D2_EXACT, 3) == 1.128
    assert round(3 * chart.sigma / chart.mean_moving_range, 2) == 2.66
    assert round(chart.moving_range_upper_limit / chart.mean_moving_range, 3) == 3.267


def test_ewma_of_the_handbook() -> None:
    """e-Handbook 6.3.2.4: λ 0.3, target 50, s 2.0539; it draws the limits that hold after long, and cuts the lower one off."""
    chart = ewma_chart(values=EWMA_DATA, weight=0.3, target=50.0, sigma=2.0539, asymptotic=True)
    assert [round(z, 2) for z in chart.averages] == pytest.approx(EWMA_PRINTED, abs=0.0101)
    assert chart.upper_limit == pytest.approx(52.5884, abs=5e-5)
    assert chart.lower_limit == pytest.approx(47.4115, abs=1e-4)
    assert chart.beyond == ()
    # Limits as they grow, computed for this project:
    assert chart.upper_limits[:5] == pytest.approx([51.8485, 52.2564, 52.4314, 52.5127, 52.5516], abs=5e-5)


def test_cusum_of_the_handbook() -> None:
    """e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959; first signal at observation 14."""
    chart = cusum_chart(values=CUSUM_DATA, target=325.0, reference_value=0.3175, decision_interval=4.1959)
    assert chart.signals[0] + 1 == 14
    # The sums themselves, computed for this project:
    assert chart.high[12:] == pytest.approx([3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035], abs=1e-9)
    assert [round(low, 4) for low in chart.low if low] == pytest.approx([0.0075, 0.3325, 0.5575, 0.715, 0.1725, 0.255, 0.3125])


@pytest.mark.parametrize(("rules", "published"), [
    (("1 beyond 3 s",), 370.40),
    (("1 beyond 3 s", "2 of 3 beyond 2 s"), 225.44),
    (("1 beyond 3 s", "8 on one side"), 152.73),
    (tuple(RULE_SETS["western_electric"]), 91.75),
])
def test_average_run_lengths_of_the_western_electric_rules(rules: tuple[str, ...], published: float) -> None:
    """Champ and Woodall, Technometrics 29 (1987): mean number of points to an alarm, in control. Here by seeded simulation."""
    dice, runs = np.random.default_rng(1987), []
    while len(runs) < 1500:
        z = dice.standard_normal(4000)
        alarms = np.logical_or.reduce([RULE_SETS["western_electric"][name][1](z) for name in rules])
        runs.append(int(np.argmax(alarms)) + 1 if alarms.any() else 4000)
    spread = np.std(runs) / math.sqrt(len(runs))
    assert np.mean(runs) == pytest.approx(published, abs=4 * spread)
    assert spread < 0.03 * published
