"""The invented season: 74 balances, four planted faults, and nothing else that alarms.

The sizes of the faults are our own rule's (one scale's permissible error is common to its lines); a second, separate
computation of the same rule gave the same figures.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from lots.balance.closure import close
from lots.balance.words import balance_sentence, how_far, how_much
from lots.trade.weighing import Balance, Expectation, Side, Verdict, Weighing

FAULTS = {
    "refine SG1": 8.69, "store R26-SG1": -29.47, "mill J26-05 pair 5": 9.71, "mill J26-06 pair 5": -9.78,
}


def test_the_season_has_74_balances_and_all_can_be_judged(balances: dict[str, Balance]) -> None:
    assert len(balances) == 74
    assert all(b.z is not None for b in balances.values())


def test_exactly_the_four_planted_faults_stop(balances: dict[str, Balance]) -> None:
    stopped = {name: b.z for name, b in balances.items() if b.verdict is Verdict.STOP}
    assert stopped == {name: pytest.approx(z, abs=0.006) for name, z in FAULTS.items()}
    assert all(b.verdict is Verdict.ADDS_UP for name, b in balances.items() if name not in FAULTS)


def test_the_healthy_ones_stay_well_inside(balances: dict[str, Balance]) -> None:
    healthy = [abs(b.z) for name, b in balances.items() if name not in FAULTS]
    assert max(healthy) == pytest.approx(1.2523, abs=0.0001)


def test_without_expectations_thirty_would_alarm(nodes: dict[str, Any]) -> None:
    bare = [close(node.lines, Expectation(node.stage, 0.0, 0.0)) for node in nodes.values()]
    assert sum(abs(b.z) > 3 for b in bare) == 30


@pytest.mark.parametrize(("node", "d_kg"), [
    ("refine LT1", 0.594), ("refine HB1", 0.443), ("refine SG1", 2.851), ("refine OF1", 0.253), ("refine LM1", 0.439),
    ("refine CS1", 0.301), ("refine LT2", 0.301), ("refine HB2", 0.280), ("refine SG2", 0.349), ("refine OF2", 0.245),
    ("refine LM2", 0.232), ("refine CS2", 0.143), ("store R26-SG1", -2.621), ("mill J26-05 pair 5", 0.369),
    ("mill J26-06 pair 5", -0.240),
])
def test_unexplained_kilograms_agree_with_the_season_s_own_table(balances: dict[str, Balance], node: str, d_kg: float) -> None:
    assert balances[node].d_mg / 1e6 == pytest.approx(d_kg, abs=0.0006)


@pytest.mark.parametrize(("node", "z"), [
    ("oven LT1", -0.45), ("oven HB1", -0.11), ("oven SG1", 0.34), ("oven OF1", 0.18), ("oven LM1", 0.31),
    ("oven CS1", -0.38), ("oven LT2", 0.33), ("oven HB2", -0.10), ("oven SG2", -0.23), ("oven OF2", -0.73),
    ("oven LM2", -0.99), ("oven CS2", -0.70),
])
def test_the_oven_s_distances_agree_with_the_season_s_own_table(balances: dict[str, Balance], node: str, z: float) -> None:
    assert balances[node].z == pytest.approx(z, abs=0.01)


def _with(lines: Iterable[Weighing], label: str, side: Side, change_mg: int) -> list[Weighing]:
    return [replace(x, mass_mg=x.mass_mg + change_mg) if (x.label, x.side) == (label, side) else x for x in lines]


def test_the_three_corrections_close_everything(nodes: dict[str, Any]) -> None:
    right = {name: list(node.lines) for name, node in nodes.items()}
    right["refine SG1"] = _with(right["refine SG1"], "refined leaf", Side.OUT, 2_700_000)
    right["store R26-SG1"] = _with(right["store R26-SG1"], "refined leaf", Side.IN, 2_700_000)
    right["mill J26-05 pair 5"] = _with(right["mill J26-05 pair 5"], "returned leaf", Side.OUT, 310_000)
    right["mill J26-06 pair 5"] = _with(right["mill J26-06 pair 5"], "charges", Side.IN, 310_000)
    closed = {name: close(lines, nodes[name].expectation) for name, lines in right.items()}
    assert max(abs(b.z) for b in closed.values()) < 1.3
    assert closed["refine SG1"].z == pytest.approx(-0.86, abs=0.03)
    assert closed["store R26-SG1"].z == pytest.approx(-0.02, abs=0.01)


def test_opposite_residuals_cancel(balances: dict[str, Balance]) -> None:
    def beyond_kg(name: str) -> float:
        return (balances[name].d_mg - balances[name].e_mg) / 1e6

    assert beyond_kg("refine SG1") + beyond_kg("store R26-SG1") == pytest.approx(-0.240, abs=0.001)
    assert beyond_kg("mill J26-05 pair 5") + beyond_kg("mill J26-06 pair 5") == pytest.approx(0.021, abs=0.001)


def test_the_stones_give_more_kilograms_than_they_take_and_it_is_water(nodes: dict[str, Any], balances: dict[str, Balance]) -> None:
    stones = {name: node for name, node in nodes.items() if node.stage == "milling"}

    def as_is(node: Any) -> int:
        return sum(x.mass_mg if x.side is Side.OUT else -x.mass_mg for x in node.lines)

    assert len(stones) == 36
    assert sum(as_is(node) > 0 for node in stones.values()) == 35
    rainy = [name for name in stones if "J26-04" in name]
    assert len(rainy) == 6
    assert all(0.1 < balances[name].z < 1.3 for name in rainy)


def test_a_declared_spill_is_no_alarm(nodes: dict[str, Any]) -> None:
    node = nodes["refine CS1"]
    undeclared = close([x for x in node.lines if x.side is not Side.LOST], node.expectation)
    assert node.balance().z == pytest.approx(0.19, abs=0.02)
    assert undeclared.d_mg / 1e6 == pytest.approx(1.11, abs=0.005)
    assert undeclared.verdict is Verdict.STOP


def test_the_oven_is_nearly_blind(balances: dict[str, Balance]) -> None:
    for name, balance in balances.items():
        if name.startswith("oven"):
            assert 0.044 < math.hypot(balance.u_mg, balance.scatter_mg) / balance.input_mg < 0.054


def test_the_faults_in_words(balances: dict[str, Balance]) -> None:
    assert balance_sentence(balances["refine SG1"], "refining") == "Sorting lost 2.4\u00a0kg too many."
    assert balance_sentence(balances["store R26-SG1"], "counting") == "The shelf holds 2.6\u00a0kg too many."
    assert how_much(balances["store R26-SG1"], places=2) == "2.62\u00a0kg too much"
    assert how_far(balances["refine SG1"].z) == "8.7 times the usual scatter"
    assert balance_sentence(balances["mill J26-05 pair 5"], "milling") == "The stones lost 0.31\u00a0kg too many."
    assert balance_sentence(balances["mill J26-06 pair 5"], "milling", "ja") == "石臼から 0.29\u00a0kg 多く出た。"
