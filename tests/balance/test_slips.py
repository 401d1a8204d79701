"""What a typed figure may have been meant to be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.balance.slips import SlipKind, shown_decimals, slips


def meant(mass_mg: int, division_mg: int, kind: SlipKind) -> set[float]:
    return {slip.mass_mg / 1e6 for slip in slips(mass_mg, division_mg) if slip.kind is kind}


def test_the_ticket_of_the_season_is_among_the_swaps() -> None:
    assert meant(43_690_000, 10_000, SlipKind.SWAPPED) == {34.69, 46.39, 43.96}


@pytest.mark.parametrize(("typed_kg", "kind", "meant_kg"), [
    (4.369, SlipKind.PLACE, 43.69), (436.9, SlipKind.PLACE, 43.69), (895.0, SlipKind.UNIT, 0.895), (0.895, SlipKind.UNIT, 895.0),
    (443.69, SlipKind.DOUBLED, 43.69), (3.69, SlipKind.DROPPED, 43.69), (43.99, SlipKind.MISREAD, 43.69), (0.985, SlipKind.SWAPPED, 0.895),
])
def test_each_slip_of_the_hand_is_undone(typed_kg: float, kind: SlipKind, meant_kg: float) -> None:
    assert meant_kg in meant(round(typed_kg * 1e6), 1000, kind)


def test_a_vessel_of_the_house_may_have_been_weighed_along() -> None:
    found = {slip.mass_mg for slip in slips(10_400_000, 10_000, tares_mg=(1_250_000,)) if slip.kind is SlipKind.TARE}
    assert found == {9_150_000, 11_650_000}


@given(st.integers(0, 10**9), st.sampled_from([100, 1000, 5000, 10_000, 50_000]))
def test_every_figure_is_one_that_the_scale_shows_and_none_is_the_typed_one(mass_mg: int, division_mg: int) -> None:
    found = [slip.mass_mg for slip in slips(mass_mg, division_mg)]
    assert mass_mg not in found
    assert len(found) == len(set(found))
    assert all(other > 0 and other % division_mg == 0 for other in found)


@given(st.integers(1, 99_999))
def test_a_swap_undone_is_a_swap(hundredths: int) -> None:
    """Swapped digits differ by a multiple of nine of their last place (an old book-keeper's rule)."""
    typed = hundredths * 10_000
    for slip in slips(typed, 10_000):
        if slip.kind is SlipKind.SWAPPED:
            assert (slip.mass_mg - typed) // 10_000 % 9 == 0
            assert typed in {back.mass_mg for back in slips(slip.mass_mg, 10_000)}


def test_decimals_of_a_display() -> None:
    assert [shown_decimals(d) for d in (1_000_000, 50_000, 10_000, 5000, 1000, 100)] == [0, 2, 2, 3, 3, 4]
    with pytest.raises(ValueError, match="more than nothing"):
        slips(1000, 0)
