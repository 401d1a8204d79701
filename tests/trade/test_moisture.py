"""Bases, drying and refusals of lots/trade/moisture.py beside the published values in tests/published."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.trade.language import Refused
from lots.trade.moisture import (
    Basis,
    checked_wet_frac,
    dry_from_wet,
    dry_mass_mg,
    loss_in_mass_frac,
    mass_after_drying,
    per_100,
    water_removed_mg,
    wet_frac_from,
    wet_from_dry,
)

wet_fracs = st.floats(0, 0.99)


@given(wet_fracs)
def test_the_two_bases_turn_into_each_other(wet_frac: float) -> None:
    assert wet_from_dry(dry_from_wet(wet_frac)) == pytest.approx(wet_frac, abs=1e-12)


@given(wet_fracs, wet_fracs, st.integers(1, 10**12))
def test_drying_keeps_the_dry_matter(from_frac: float, to_frac: float, mass_mg: int) -> None:
    after = mass_after_drying(mass_mg, from_frac, to_frac).mass_mg
    assert dry_mass_mg(after, to_frac) == pytest.approx(dry_mass_mg(mass_mg, from_frac), rel=1e-9)
    assert water_removed_mg(mass_mg, from_frac, to_frac) == pytest.approx(mass_mg - after)


def test_uptake_is_negative_removal() -> None:
    assert water_removed_mg(1_000_000, 0.03, 0.05) < 0


@pytest.mark.parametrize("wet_frac", [1.0, 4.0, -0.01, math.nan, math.inf])
def test_moisture_outside_its_range_is_refused(wet_frac: float) -> None:
    with pytest.raises(Refused):
        dry_from_wet(wet_frac)


def test_a_dry_figure_on_the_wet_basis_is_asked_about() -> None:
    with pytest.raises(Refused, match=r"400 per 100 wet cannot be.*Did you mean per 100 dry\?") as refused:
        checked_wet_frac(4.0)
    assert "乾量基準" in refused.value.text("ja")
    with pytest.raises(Refused, match="between 0 and 100") as refused:
        checked_wet_frac(-0.1)
    assert refused.value.text("en") == str(refused.value)


@pytest.mark.parametrize("dry_frac", [-0.1, math.nan, math.inf])
def test_dry_basis_has_no_upper_end_but_a_lower(dry_frac: float) -> None:
    assert wet_from_dry(4.5) == pytest.approx(0.8181818)
    with pytest.raises(Refused, match="per 100 dry cannot be"):
        wet_from_dry(dry_frac)


def test_what_is_typed_becomes_the_fraction_that_the_book_keeps() -> None:
    assert wet_frac_from(Decimal(400), Basis.DRY) == Decimal("0.800000")
    assert wet_frac_from(Decimal("5.1"), Basis.WET) == Decimal("0.051000")
    assert wet_frac_from(Decimal(320), Basis.DRY) == Decimal("0.761905")
    assert per_100(0.8, Basis.DRY) == pytest.approx(400)
    assert per_100(0.8, Basis.WET) == pytest.approx(80)


@pytest.mark.parametrize(("typed", "basis"), [("100", Basis.WET), ("400", Basis.WET), ("-1", Basis.DRY), ("NaN", Basis.WET)])
def test_what_cannot_be_is_refused_before_it_is_kept(typed: str, basis: Basis) -> None:
    with pytest.raises(Refused):
        wet_frac_from(Decimal(typed), basis)


def test_loss_in_mass_of_a_dish() -> None:
    assert loss_in_mass_frac(5_000, 4_750) == pytest.approx(0.05)
    for before_mg, after_mg in ((0, 0), (5_000, 5_001), (5_000, 0)):
        with pytest.raises(Refused, match="dried portion"):
            loss_in_mass_frac(before_mg, after_mg)
