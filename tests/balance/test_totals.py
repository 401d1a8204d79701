"""Sums of balances by stage over the season."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lots.balance.closure import close
from lots.balance.totals import total, worst_of
from lots.trade.weighing import Balance, Expectation, Side, Verdict, Weighing

UNJUDGED = close([Weighing(Side.IN, "leaf", 1_000_000, 1, None, None, "", None)], Expectation("milling", 0.0, 0.01))


@pytest.mark.parametrize(("stage", "input_kg", "d_kg", "e_kg", "verdict", "worst"), [
    ("drying", 582.70, 8.07, 11.65, Verdict.ADDS_UP, Verdict.ADDS_UP),
    ("refining", 495.11, 6.43, 3.96, Verdict.STOP, Verdict.STOP),
    ("milling", 216.56, 1.99, 1.73, Verdict.ADDS_UP, Verdict.STOP),
    ("sieving", 214.57, 0.66, 0.64, Verdict.ADDS_UP, Verdict.ADDS_UP),
])
def test_the_season_by_stage(nodes: dict[str, Any], balances: dict[str, Balance], stage: str, input_kg: float, d_kg: float, e_kg: float, verdict: Verdict, worst: Verdict) -> None:
    """Figures of the season's own flow table, kg dry; two faults of the stones cancel in their sum."""
    summed = total([b for name, b in balances.items() if nodes[name].stage == stage])
    assert summed.balance.d_mg / 1e6 == pytest.approx(d_kg, abs=0.006)
    assert summed.balance.e_mg / 1e6 == pytest.approx(e_kg, abs=0.02)
    assert summed.balance.input_mg / 1e6 == pytest.approx(input_kg, rel=0.01)
    assert (summed.balance.verdict, summed.worst, summed.unjudged_count) == (verdict, worst, 0)


def test_errors_of_independent_steps_add_as_squares(balances: dict[str, Balance]) -> None:
    pair = [balances["oven LT1"], balances["oven HB1"]]
    summed = total(pair).balance
    assert summed.u_mg == pytest.approx(math.hypot(pair[0].u_mg, pair[1].u_mg))
    assert summed.scatter_mg == pytest.approx(math.hypot(pair[0].scatter_mg, pair[1].scatter_mg))
    assert summed.z == pytest.approx((summed.d_mg - summed.e_mg) / math.hypot(summed.u_mg, summed.scatter_mg))


def test_a_sum_of_one_is_that_one(balances: dict[str, Balance]) -> None:
    assert total([balances["refine SG1"]]).balance == balances["refine SG1"]


def test_what_cannot_be_judged_is_left_out_and_counted(balances: dict[str, Balance]) -> None:
    summed = total([balances["oven LT1"], UNJUDGED, UNJUDGED])
    assert (summed.judged_count, summed.unjudged_count) == (1, 2)
    assert summed.balance.d_mg == balances["oven LT1"].d_mg
    assert summed.balance.why == "2 of 3 cannot be judged and are not in this sum."
    assert total([balances["oven LT1"], UNJUDGED], "ja").balance.why.startswith("2 件のうち 1 件は判定できず")


@pytest.mark.parametrize("none", [[], [UNJUDGED]])
def test_a_sum_of_none_cannot_be_judged(none: list[Balance]) -> None:
    summed = total(none)
    assert summed.balance.verdict is summed.worst is Verdict.CANNOT
    assert summed.balance.z is None
    assert summed.balance.why


def test_the_gravest_word_wins() -> None:
    assert worst_of([Verdict.LOOK, Verdict.STOP, Verdict.CANNOT]) is Verdict.STOP
    assert worst_of([Verdict.CANNOT, Verdict.ADDS_UP]) is Verdict.ADDS_UP
    assert worst_of([]) is Verdict.CANNOT
