"""What is usual: catalogue first, then the maker's own clean lots."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lots.balance.closure import close
from lots.balance.expectations import LEAST_LOTS, default_for, learned, loss_frac_of
from lots.trade.weighing import Balance, Expectation, Side, Weighing

DEFAULT = Expectation("refining", 0.008, 0.003)


def test_defaults_come_from_the_catalogue() -> None:
    assert default_for("refining") == DEFAULT
    for stage in ("shading", "no such stage"):
        with pytest.raises(KeyError):
            default_for(stage)


def test_eleven_lots_teach_nothing_yet() -> None:
    assert learned([0.02] * (LEAST_LOTS - 1), DEFAULT) is DEFAULT


def test_twelve_lots_give_their_mean_and_deviation() -> None:
    usual = learned([0.01, 0.02] * 6, DEFAULT)
    assert usual.loss_frac == pytest.approx(0.015)
    assert usual.sd_frac == pytest.approx(math.sqrt(12 * 0.005**2 / 11))
    assert (usual.stage, usual.lot_count) == ("refining", 12)


def test_a_single_lot_never_has_a_deviation() -> None:
    assert learned([0.02], DEFAULT, least=1) is DEFAULT


@pytest.mark.parametrize("loss", [math.nan, math.inf])
def test_a_loss_that_is_no_number_is_refused(loss: float) -> None:
    with pytest.raises(ValueError, match="refining is not a number"):
        learned([loss] * 12, DEFAULT)


def test_losses_of_judged_balances_only(nodes: dict[str, Any], balances: dict[str, Balance]) -> None:
    sorted_lots = [loss_frac_of(b) for name, b in balances.items() if nodes[name].stage == "refining"]
    clean = [loss for loss in sorted_lots if loss < 0.02]
    assert len(sorted_lots) == 12
    assert learned(clean, DEFAULT, least=11).loss_frac == pytest.approx(0.0081, abs=0.0003)
    unmeasured = close([Weighing(Side.IN, "leaf", 1, 1, None, None, "", None)], DEFAULT)
    assert loss_frac_of(unmeasured) is None
