"""Single sampling plans of ISO 2859-1, normal inspection (the same as MIL-STD-105E, tables I and II-A)."""

from __future__ import annotations

import pytest

from lots.quality.sampling import DOWN, UP, accepted_frac, cell, code_letter, plan

# Rows of the master table as two public tables give them: acceptance numbers at letters E F G H J K L M.
MASTER = {
    "0.65": (DOWN, 0, UP, DOWN, 1, 2, 3, 5), "1.0": (0, UP, DOWN, 1, 2, 3, 5, 7), "1.5": (UP, DOWN, 1, 2, 3, 5, 7, 10),
    "2.5": (DOWN, 1, 2, 3, 5, 7, 10, 14), "4.0": (1, 2, 3, 5, 7, 10, 14, 21), "6.5": (2, 3, 5, 7, 10, 14, 21, UP),
}


@pytest.mark.parametrize("aql", MASTER)
def test_the_master_table(aql: str) -> None:
    assert tuple(cell(letter, aql) for letter in "EFGHJKLM") == MASTER[aql]


@pytest.mark.parametrize(("lot_count", "letters"), [(8, "AAB"), (15, "ABC"), (25, "BCD"), (50, "CDE"), (90, "CEF"), (150, "DFG"), (280, "EGH")])
def test_the_code_letters(lot_count: int, letters: str) -> None:
    assert "".join(code_letter(lot_count, level) for level in ("I", "II", "III")) == letters


# Examples worked by hand from the table: the arrow changes the sample size too.
@pytest.mark.parametrize(("lot_count", "sample_count", "accept_count"), [(400, 50, 1), (200, 50, 1), (120, 13, 0), (5, 5, 0)])
def test_plans_at_an_acceptance_quality_limit_of_one(lot_count: int, sample_count: int, accept_count: int) -> None:
    found = plan(lot_count, "1.0")
    assert (found.sample_count, found.accept_count, found.reject_count) == (sample_count, accept_count, accept_count + 1)


def test_the_chance_to_pass_falls_with_the_faulty_packs() -> None:
    chosen = plan(120, "1.0")
    assert accepted_frac(120, 0, chosen) == 1
    # One faulty pack among 120, 13 drawn: missed with 107 in 120 draws.
    assert accepted_frac(120, 1, chosen) == pytest.approx(107 / 120)
    assert accepted_frac(120, 12, chosen) < accepted_frac(120, 6, chosen)


@pytest.mark.parametrize(("lot_count", "aql", "level"), [(1, "1.0", "II"), (100, "3.0", "II"), (100, "1.0", "IV")])
def test_what_the_table_does_not_have(lot_count: int, aql: str, level: str) -> None:
    with pytest.raises(ValueError, match="no "):
        plan(lot_count, aql, level)
