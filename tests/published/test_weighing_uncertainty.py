"""Uncertainty of a weighing and of a difference against published budgets. Each value names its source."""

from __future__ import annotations

import math

import pytest

from lots.balance.closure import close
from lots.balance.propagation import u_weighted
from lots.balance.scales import u_display_mg, u_error_mg, u_reading_mg
from lots.balance.yields import dry_yield
from lots.trade.moisture import mass_after_drying
from lots.trade.weighing import Expectation, ScaleData, Side, Verdict, Weighing

KG = 1_000_000


def scale(code: str = "A", *, division_mg: int = 0, interval_mg: int = 1, repeat_mg: float = 0.0, accuracy_class: str = "I") -> ScaleData:
    return ScaleData(code, division_mg, interval_mg, repeat_mg, accuracy_class, 10**15)


@pytest.mark.parametrize(("division", "u"), [(0.01, 0.0028868), (0.1, 0.0288675), (1, 0.2886751), (5, 1.4433757)])
def test_the_division_of_a_display(division: float, u: float) -> None:
    # JCGM 100, 4.3.7 (from memory): a rectangular distribution of full width d has d/sqrt(12)
    assert u_display_mg(scale(division_mg=round(division * KG))) / KG == pytest.approx(u, abs=5e-8)


def test_a_tare_that_was_read_off_counts_twice() -> None:
    # JCGM 100, 4.3.7 twice: d/sqrt(6) = 0.408 d
    assert u_display_mg(scale(division_mg=1_000), display_count=2) == pytest.approx(408.2, abs=0.1)


def test_ten_kilogram_weight_of_ea_4_02_example_s2() -> None:
    """EA-4/02 supplement, example S2 (read at metrodata.de): parts 22.5, 8.66, 14.4, 5.77, 5.77 mg, u = 29.3 mg.

    Three of its parts are rectangular: drift 15, eccentricity 10, buoyancy 10 mg. They are laid on scales whose
    permissible error is just that; the standard's certificate (45 mg, k = 2) and the mean of three differences with
    s = 25 mg are repeatabilities.
    """
    drift, eccentricity, buoyancy = scale("1", interval_mg=30), scale("2", interval_mg=20), scale("3", interval_mg=20)
    assert [u_error_mg(0, s) for s in (drift, eccentricity, buoyancy)] == [
        pytest.approx(8.66, abs=0.005), pytest.approx(5.77, abs=0.005), pytest.approx(5.77, abs=0.005)]
    standard = scale("4", interval_mg=0, repeat_mg=45 / 2)
    difference = scale("5", interval_mg=0, repeat_mg=25 / math.sqrt(3))
    assert u_reading_mg(0, standard) == pytest.approx(22.5)
    assert u_reading_mg(0, difference) == pytest.approx(14.4, abs=0.05)
    lines = [Weighing(Side.IN, "part", 0, 1, 0.0, 0.0, "", s) for s in (standard, drift, difference, eccentricity, buoyancy)]
    u_mg = u_weighted(lines, dict.fromkeys(Side, 1.0))
    assert u_mg == pytest.approx(29.3, abs=0.05)
    assert 2 * u_mg == pytest.approx(59, abs=0.5)


def test_calibration_standard_of_quam_example_a1() -> None:
    """QUAM/CITAC A1 (read in GTC's documentation): c = 1000 m P/V = 1002.7 mg/l, u = 0.835199 mg/l.

    The same product and quotient as drying: m (1 - w1)/(1 - w2) with 1 - w1 = P and 1 - w2 = V/V0, V0 = 200 ml.
    """
    u_flask = math.sqrt((0.1 / math.sqrt(6)) ** 2 + 0.02**2 + (0.084 / math.sqrt(3)) ** 2)
    found = mass_after_drying(100.28, 1 - 0.9999, 1 - 100 / 200, u_mass_mg=0.05, u_from_frac=0.0001 / math.sqrt(3),
                              u_to_frac=u_flask / 200)
    per_litre = 1000 / 200
    assert found.mass_mg * per_litre == pytest.approx(1002.7, abs=0.05)
    assert found.u_mass_mg * per_litre == pytest.approx(0.835199, abs=2e-6)


def test_end_gauge_of_gum_example_h1() -> None:
    """GUM H.1 (read in GTC's documentation): parts 25, 9.7, 16.599 and 2.887 nm give u = 32 nm.

    A length has no moisture, so the parts stand as repeatabilities: what is held here is that independent lines add as
    squares and only so. The parts themselves are worked out from the inputs of the example.
    """
    length_nm = 50_000_623
    parts_nm = [25.0, math.sqrt(5.8**2 + 3.9**2 + 6.7**2), length_nm * 11.5e-6 * 0.05 / math.sqrt(3),
                length_nm * 0.1 * 1e-6 / math.sqrt(3)]
    assert parts_nm == pytest.approx([25, 9.7, 16.599, 2.887], abs=0.05)
    lines = [Weighing(side, "part", 0, 1, 0.0, 0.0, "", scale(str(n), interval_mg=0, repeat_mg=part))
             for n, (side, part) in enumerate(zip([Side.IN, Side.OUT, Side.LOST, Side.OUT], parts_nm, strict=True))]
    assert u_weighted(lines, {Side.IN: 1.0, Side.OUT: -1.0, Side.LOST: -1.0}) == pytest.approx(31.664, abs=0.005)


def test_a_stage_between_two_scales() -> None:
    """Constructed example, no outside answer: in 30.00, out 29.12, swept up 0.60 kg, each on a scale of its own."""
    leaf = {"division_mg": 10_000, "interval_mg": 10_000, "repeat_mg": 5_000.0, "accuracy_class": "III"}
    broom = {"division_mg": 1_000, "interval_mg": 1_000, "repeat_mg": 1_000.0, "accuracy_class": "III"}
    lines = [Weighing(side, "leaf", mass_mg, 1, 0.0, 0.0, "", plate) for side, mass_mg, plate in (
        (Side.IN, 30_000_000, scale("A", **leaf)), (Side.OUT, 29_120_000, scale("B", **leaf)),
        (Side.LOST, 600_000, scale("C", **broom)))]
    assert u_reading_mg(30 * KG, lines[0].scale) / KG == pytest.approx(0.0104083, abs=5e-8)
    assert u_reading_mg(29.12 * KG, lines[1].scale) / KG == pytest.approx(0.0104083, abs=5e-8)
    assert u_reading_mg(0.6 * KG, lines[2].scale) / KG == pytest.approx(0.0011902, abs=5e-8)
    balance = close(lines, Expectation("sieving", 0.0, 0.0))
    assert balance.d_mg / KG == pytest.approx(0.280)
    assert balance.u_mg / KG == pytest.approx(0.0147676, abs=5e-8)
    assert (balance.z, balance.verdict) == (pytest.approx(18.960, abs=0.0005), Verdict.STOP)
    found = dry_yield(lines)
    assert found.yield_frac == pytest.approx(0.970667, abs=5e-7)
    assert found.u_yield_frac == pytest.approx(0.000483511, abs=5e-10)
