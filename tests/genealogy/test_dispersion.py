"""Dispersion: the identity of its counts, and first in, first out against a plain simulation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.dispersion import dispersion, mean_runs_touched, mean_sources
from lots.genealogy.graph import GenealogyError

SETS = st.dictionaries(st.sampled_from("FGHIJ"), st.sets(st.sampled_from("abcdef")), max_size=5)


def test_three_finished_lots_of_four_raw_ones() -> None:
    """Constructed: R1→F1; R2→F1, F2; R3→F2, F3; R4→F3; masses 10, 20, 5."""
    found = dispersion({"F1": ["R1", "R2"], "F2": ["R2", "R3"], "F3": ["R3", "R4"]}, {"F1": 10, "F2": 20, "F3": 5})
    assert dict(found.down_count) == {"R1": 1, "R2": 2, "R3": 2, "R4": 1}
    assert dict(found.up_count) == {"F1": 2, "F2": 2, "F3": 2}
    assert found.total_count == 12
    assert dict(found.recalled_mg) == {"R1": 10, "R2": 30, "R3": 25, "R4": 5}
    assert (found.worst_mg, found.mean_mg) == (30, 17.5)


@given(SETS)
def test_both_counts_sum_to_the_pairs_that_a_path_joins(held: dict[str, set[str]]) -> None:
    found = dispersion(held, dict.fromkeys(held, 7))
    pairs = sum(len(raw) for raw in held.values())
    assert sum(found.down_count.values()) == sum(found.up_count.values()) == pairs
    assert found.total_count == 2 * pairs


@pytest.mark.parametrize(("run", "lot"), [(7, 20), (20, 20), (33, 20), (13, 29)])
def test_first_in_first_out_touches_as_many_as_the_formula_says(run: int, lot: int) -> None:
    """The formulas of the reference (derived there): here against a walk along one whole period."""
    touched = [(i * run // lot, (i * run + run - 1) // lot) for i in range(lot)]
    assert sum(b - a + 1 for a, b in touched) / lot == pytest.approx(mean_sources(run, lot))
    runs = [(j * lot // run, (j * lot + lot - 1) // run) for j in range(run)]
    assert sum(b - a + 1 for a, b in runs) / run == pytest.approx(mean_runs_touched(run, lot))


def test_a_lot_without_mass_is_refused() -> None:
    with pytest.raises(GenealogyError, match="F1"):
        dispersion({"F1": ["R1"]}, {})
    with pytest.raises(GenealogyError, match="above nothing"):
        mean_sources(0, 5)
