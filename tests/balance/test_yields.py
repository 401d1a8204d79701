"""Yield on dry matter and what cancels in it."""

from __future__ import annotations

from typing import Any

import pytest

from lots.balance.yields import dry_yield
from lots.trade.weighing import ScaleData, Side, Weighing

KG = 1_000_000
ONE = ScaleData("one", 10_000, 10_000, 0.0, "III", 60 * KG)


def line(side: Side, kg: float, *, moisture: float | None = 0.05, sample: str = "", scale: ScaleData | None = ONE) -> Weighing:
    return Weighing(side, "leaf", round(kg * KG), 1, moisture, 0.003, sample, scale)


def test_yield_of_a_sorting_batch(nodes: dict[str, Any]) -> None:
    main = [x for x in nodes["refine LT1"].lines if x.label in {"crude leaf", "refined leaf"}]
    found = dry_yield(main)
    assert found.yield_frac == pytest.approx(45.46 * 0.970 / (58.73 * 0.954))
    assert 0.002 < found.u_yield_frac < 0.005


def test_one_scale_and_one_sample_cancel() -> None:
    shared = dry_yield([line(Side.IN, 30, sample="a"), line(Side.OUT, 30, sample="a")])
    rounding = 10_000 / 12**0.5 / (30 * KG)
    assert shared.u_yield_frac == pytest.approx(2**0.5 * rounding)


def test_losses_are_not_yield() -> None:
    with_loss = dry_yield([line(Side.IN, 30), line(Side.OUT, 20), line(Side.LOST, 5)])
    assert with_loss.yield_frac == pytest.approx(2 / 3)


@pytest.mark.parametrize("lines", [[], [line(Side.OUT, 5)], [line(Side.IN, 5), line(Side.OUT, 4, moisture=None)]])
def test_without_input_or_moisture_there_is_no_yield(lines: list[Weighing]) -> None:
    assert dry_yield(lines) is None
