"""Moisture bases and drying against worked examples. Each value names its source; "from memory" where no copy was read."""

from __future__ import annotations

import pytest

from lots.trade.moisture import dry_from_wet, dry_mass_mg, mass_after_drying, water_removed_mg, wet_from_dry

KG = 1_000_000


def test_85_per_100_wet() -> None:
    # Singh & Heldman, Introduction to Food Engineering, ch. 1 (from memory): prints 5.67
    assert dry_from_wet(0.85) == pytest.approx(5.67, abs=0.005)


def test_90_per_100_dry() -> None:
    # the same (from memory): 47.37 per 100 wet
    assert wet_from_dry(0.90) == pytest.approx(0.4737, abs=0.00005)


def test_ten_kilograms_at_320_per_100_dry() -> None:
    # brainmass.com 285725 prints 7.619 kg of water; the other three are worked out here from the definitions
    wet = wet_from_dry(3.20)
    assert (10 * KG - dry_mass_mg(10 * KG, wet)) / KG == pytest.approx(7.619, abs=0.0005)
    assert dry_mass_mg(10 * KG, wet) / KG == pytest.approx(2.381, abs=0.0005)
    assert mass_after_drying(10 * KG, wet, 0.50).mass_mg / KG == pytest.approx(4.762, abs=0.0005)
    assert water_removed_mg(10 * KG, wet, 0.50) / KG == pytest.approx(5.238, abs=0.0005)


@pytest.mark.parametrize(("mass_kg", "left_kg"), [(5, 2.5), (10, 5.0)])
def test_150_per_100_dry_to_20_per_100_wet(mass_kg: float, left_kg: float) -> None:
    # question of brainmass.com 285725 (5 kg), answer worked out; Singh & Heldman ask it with 10 kg and answer 5 (from memory)
    wet = wet_from_dry(1.50)
    assert dry_mass_mg(mass_kg * KG, wet) / KG == pytest.approx(0.4 * mass_kg)
    assert mass_after_drying(mass_kg * KG, wet, 0.20).mass_mg / KG == pytest.approx(left_kg)
    assert water_removed_mg(mass_kg * KG, wet, 0.20) / KG == pytest.approx(mass_kg - left_kg)


def test_bran_is_wetted() -> None:
    # question of brainmass.com 285725, answer worked out: 500 kg at 2 per 100 dry to 15 per 100 wet
    wet = wet_from_dry(0.02)
    assert dry_mass_mg(500 * KG, wet) / KG == pytest.approx(490.1961, abs=0.00005)
    assert mass_after_drying(500 * KG, wet, 0.15).mass_mg / KG == pytest.approx(576.7013, abs=0.00005)
    assert -water_removed_mg(500 * KG, wet, 0.15) / KG == pytest.approx(76.7013, abs=0.00005)


@pytest.mark.parametrize(("wet", "left_kg", "ratio"), [(0.75, 26.3158, 3.80), (0.78, 23.1579, 4.318), (0.80, 21.0526, 4.75)])
def test_a_hundred_kilograms_of_leaf_to_5_per_100(wet: float, left_kg: float, ratio: float) -> None:
    # worked out; the range 70-80 per 100 of fresh leaf is an encyclopaedia's (qammunity.org 4673199),
    # 5 per 100 of dried leaf a maker's own page (hokusan-trade.jp)
    after = mass_after_drying(100 * KG, wet, 0.05).mass_mg
    assert after / KG == pytest.approx(left_kg, abs=0.00005)
    assert water_removed_mg(100 * KG, wet, 0.05) / KG == pytest.approx(100 - left_kg, abs=0.00005)
    assert 100 * KG / after == pytest.approx(ratio, abs=0.0005)


def test_one_point_of_fresh_leaf_moisture_is_four_and_a_half_per_cent_of_the_result() -> None:
    # constructed example, propagated as JCGM 100 5.1.2: no outside answer
    after = mass_after_drying(100 * KG, 0.78, 0.05, u_mass_mg=0.05 * KG, u_from_frac=0.01, u_to_frac=0.002)
    assert after.mass_mg / KG == pytest.approx(23.158, abs=0.0005)
    assert after.u_mass_mg / KG == pytest.approx(1.054, abs=0.0005)
    assert after.u_mass_mg / after.mass_mg == pytest.approx(0.0455, abs=0.00005)
