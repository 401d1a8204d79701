from __future__ import annotations

import pytest

from lots.genealogy.graph import GenealogyError
from lots.genealogy.rework import Spread, branching


def test_the_simulated_mill_has_its_branching_number() -> None:
    # Half of 100 passes give an oversize lot; one in five of these is split over two later runs: R = 0.5 × 1.2 = 0.6.
    rework = branching(100, [2] * 10 + [1] * 40)
    assert (rework.sieve_pass_count, rework.oversize_lot_count, rework.later_run_count) == (100, 50, 60)
    assert rework.branching == pytest.approx(0.6)
    assert rework.spread is Spread.CONTAINED


@pytest.mark.parametrize(
    ("later_runs", "spread"),
    [
        ([], Spread.CONTAINED),
        ([0] * 10, Spread.CONTAINED),
        ([1] * 7, Spread.CONTAINED),
        ([1] * 8, Spread.NEAR_LIMIT),
        ([1] * 9, Spread.NEAR_LIMIT),
        ([1] * 10, Spread.WITHOUT_END),
        ([2] * 6, Spread.WITHOUT_END),
    ],
)
def test_the_word_warns_before_one_and_at_one(later_runs: list[int], spread: Spread) -> None:
    assert branching(10, later_runs).spread is spread


def test_the_mill_sets_its_own_warning() -> None:
    assert branching(10, [1] * 6, warn_from=0.5).spread is Spread.NEAR_LIMIT


def test_nothing_sieved_cannot_be_judged() -> None:
    rework = branching(0, [])
    assert (rework.branching, rework.spread) == (None, Spread.CANNOT)


def test_counts_below_zero_are_refused() -> None:
    with pytest.raises(GenealogyError, match="from zero up"):
        branching(-1, [])
    with pytest.raises(GenealogyError, match="from zero up"):
        branching(3, [1, -1])
