from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lots.genealogy.carry import CarryOver, carry_over, share_range
from lots.genealogy.composition import mix
from lots.genealogy.graph import GenealogyError
from lots.genealogy.shares import Standing, claim_single

SEASON = Path(__file__).parents[2] / "fixtures" / "demo_season.json"


def residual_mg(season: dict[str, Any], node_name: str) -> tuple[float, float]:
    """D - E of a stone node and its uncertainty, lines independent (as the season's own figures were made)."""
    node = next(each for each in season["nodes"] if each["node"] == node_name)
    expected = season["meta"]["stage_expectation"]["mill"]
    dry = went_in = variance = 0.0
    by_moisture: dict[tuple[float, str], float] = {}
    for sign, lines in ((1, node["inp"]), (-1, node["out"])):
        for _, mass_kg, water, scale_code, readings, kind in lines:
            scale = season["meta"]["scales"][scale_code]
            dry += sign * mass_kg * (1 - water)
            went_in += mass_kg * (1 - water) if sign > 0 else 0.0
            permissible = 0.5 * scale["e"]  # class II up to 5000 e: every load and tub is below 5 kg
            of_scale = readings * (scale["d"] ** 2 / 12 + scale["sr"] ** 2) + (readings * permissible) ** 2 / 3
            variance += (1 - water) ** 2 * of_scale
            by_moisture[water, kind] = by_moisture.get((water, kind), 0.0) + sign * mass_kg
    variance += sum((mass * season["meta"]["u_moisture"][kind]) ** 2 for (_, kind), mass in by_moisture.items())
    variance += (expected["sd"] * went_in) ** 2
    return (dry - expected["expected_loss_fraction"] * went_in) * 1e6, math.sqrt(variance) * 1e6


@pytest.fixture(scope="module")
def of_the_season() -> CarryOver:
    season = json.loads(SEASON.read_text(encoding="utf-8"))
    earlier = residual_mg(season, "mill J26-05 pair 5")
    later = residual_mg(season, "mill J26-06 pair 5")
    assert earlier[0] / earlier[1] == pytest.approx(9.66, abs=0.01)
    assert later[0] / later[1] == pytest.approx(-9.72, abs=0.02)
    return carry_over(*earlier, *later)


def test_the_left_over_of_the_season_is_found(of_the_season: CarryOver) -> None:
    assert of_the_season.carried_mg / 1e6 == pytest.approx(0.301, abs=0.0005)
    assert of_the_season.u_mg / 1e6 == pytest.approx(0.022, abs=0.0005)
    assert of_the_season.t == pytest.approx(187.6, rel=0.003)
    assert of_the_season.left_open_mg / 1e6 == pytest.approx(0.021, abs=0.0005)
    assert of_the_season.u_left_open_mg / 1e6 == pytest.approx(0.044, abs=0.0005)
    assert of_the_season.explains_both
    as_leaf_kg = of_the_season.carried_mg / (1 - 0.032) / 1e6
    assert as_leaf_kg == pytest.approx(0.311, abs=0.0005)


def test_its_share_makes_two_claims_fail(of_the_season: CarryOver) -> None:
    tubs_dry_mg = 40.823e6 * (1 - 0.044)
    lower, best, upper = share_range(of_the_season, tubs_dry_mg)
    assert (lower, best, upper) == pytest.approx((0.0066, 0.0077, 0.0088), abs=0.0001)
    plots, states = {1: "P5", 2: "P2"}, {1: "organic", 2: "conventional"}
    carried_in = mix([(1 - best, {1: 1.0}), (best, {2: 1.0})])
    for labels in (plots, states):
        assert claim_single(carried_in, labels, 0.0).standing is Standing.FAILS
        may_have = claim_single({1: 1.0}, labels, upper)
        assert may_have.standing is Standing.NOT_DECIDABLE
        assert may_have.lower_frac == pytest.approx(0.991, abs=0.0005)


def test_the_estimate_is_weighted_least_squares() -> None:
    r, u = np.array([312.0, -290.0]), np.array([32.0, 30.0])
    design = np.array([[1.0], [-1.0]]) / u[:, None]
    solution, _, _, _ = np.linalg.lstsq(design, r / u, rcond=None)
    found = carry_over(312.0, 32.0, -290.0, 30.0)
    assert found.carried_mg == pytest.approx(solution[0])
    assert found.u_mg == pytest.approx(np.linalg.inv(design.T @ design)[0, 0] ** 0.5)
    assert found.t == pytest.approx((found.carried_mg / found.u_mg) ** 2)


def test_residuals_that_do_not_cancel_are_not_explained() -> None:
    assert not carry_over(300.0, 10.0, -100.0, 10.0).explains_both
    assert not carry_over(-300.0, 10.0, 300.0, 10.0).explains_both
    assert carry_over(300.0, 10.0, -272.0, 10.0).explains_both
    assert not carry_over(300.0, 10.0, -271.0, 10.0).explains_both
    assert not carry_over(0.0, 10.0, 0.0, 10.0).explains_both


def test_a_share_stays_between_none_and_all() -> None:
    assert share_range(carry_over(10.0, 20.0, -10.0, 20.0), 15.0) == pytest.approx((0.0, 10 / 15, 1.0))


def test_what_cannot_be_estimated_is_refused() -> None:
    with pytest.raises(GenealogyError, match="no uncertainty"):
        carry_over(1.0, 0.0, -1.0, 1.0)
    with pytest.raises(GenealogyError, match="no uncertainty"):
        carry_over(1.0, 1.0, -1.0, 0.0)
    with pytest.raises(GenealogyError, match="no dry mass"):
        share_range(carry_over(1.0, 1.0, -1.0, 1.0), 0.0)
