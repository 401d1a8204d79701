"""Screening and particle size against textbooks, a standard's example and a general-purpose engineering library's tests."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from lots.quality.screening import (
    ASTM_E11,
    ISO_565,
    fit_rosin_rammler,
    lognormal_size_um,
    moment_mean_um,
    recovery,
    rosin_rammler_size,
    screen_result,
    sieve_table,
    two_product_split,
)

# ASTM E799 example of drops, as the tests of an engineering library carry it (edges in um, counts).
EDGES = [240, 360, 450, 562.5, 703, 878, 1097, 1371, 1713, 2141, 2676, 3345, 4181, 5226, 6532]
COUNTS = [65, 119, 232, 410, 629, 849, 990, 981, 825, 579, 297, 111, 21, 1]


def test_quartz_on_a_ten_mesh_screen() -> None:
    """McCabe, Smith and Harriott (from memory): shares coarser 0.47, 0.85, 0.195; D/F 0.420, B/F 0.580, effectiveness 0.669."""
    feed, over, under = (1 - share for share in (0.47, 0.85, 0.195))
    split = two_product_split(feed, over, under)
    assert (round(split, 3), round(1 - split, 3)) == (0.420, 0.580)
    found = screen_result(feed_mg=1e6, oversize_mg=split * 1e6, undersize_mg=(1 - split) * 1e6, feed_fines_frac=feed,
                          oversize_fines_frac=over, undersize_fines_frac=under)
    assert round(found.effectiveness_frac, 3) == 0.669
    # recomputed for this project:
    assert found.oversize_recovery_frac == pytest.approx(0.759298, abs=1e-6)
    assert found.undersize_recovery_frac == pytest.approx(0.881175, abs=1e-6)


def test_two_screens_of_a_worked_example() -> None:
    """A worked example of two screens (20 and 65 mesh, 1,000 kg): effectiveness of the first 0.729891."""
    product, feed_coarse = 736.0758, 0.8868
    found = screen_result(feed_mg=1000e6, oversize_mg=product * 1e6, undersize_mg=(1000 - product) * 1e6, feed_fines_frac=1 - feed_coarse,
                          oversize_fines_frac=1 - 0.9836, undersize_fines_frac=1.0)
    fines_below = (1 - product * 0.0163 / 113.2)
    assert found.oversize_recovery_frac * fines_below == pytest.approx(0.72989, abs=2e-5)


@pytest.mark.parametrize(("f", "c", "t", "printed"), [
    (0.01, 0.10, 0.002, 0.81632653),  # a mineral-processing calculator, prints 81.632653 %
    (0.10, 0.30, 0.01, 0.93103),      # an examination question, prints 93.103 %
])
def test_two_product_recovery(f: float, c: float, t: float, printed: float) -> None:
    assert recovery(f, c, t) == pytest.approx(printed, abs=5e-6)


def test_analyses_that_contradict_a_split_are_seen() -> None:
    """A 460 um screen at 1,000 kg/h with 650 kg/h above it: its own analyses give 0.427, so the question contradicts itself."""
    assert two_product_split(0.572667, 0.876, 0.346667) == pytest.approx(0.427, abs=5e-4)


def test_moments_of_the_standards_example() -> None:
    """ASTM E799 / ISO 9276-2: the standard prints 1460 1650 1860 1830 2060 2280 2670, two of them rounded oddly."""
    exact = {(1, 0): 1459.37257, (2, 0): 1646.57405, (2, 1): 1857.78886, (3, 0): 1832.39665, (3, 1): 2053.27040, (3, 2): 2269.32103,
             (4, 3): 2670.75195}
    printed = {(1, 0): 1460, (2, 0): 1650, (2, 1): 1860, (3, 0): 1830, (3, 1): 2060, (3, 2): 2280, (4, 3): 2670}
    for (p, q), value in exact.items():
        found = moment_mean_um(EDGES, COUNTS, p, q)
        assert found == pytest.approx(value, abs=5e-6)
        assert found == pytest.approx(printed[p, q], abs=11)


def test_rosin_rammler_fit_of_brezani() -> None:
    """Brezani's page: kept above 0.08 … 40; k 27.0236, n 0.5946 by least squares on the shares."""
    sizes = [0.08, 0.50, 1.25, 2, 4, 6.3, 8, 12.5, 16, 40]
    kept = [share / 100 for share in (95.61, 87.71, 82.45, 79.78, 73.28, 66.98, 63.21, 55.4, 49.91, 23.95)]
    scale, spread = fit_rosin_rammler(sizes, kept)
    assert (round(scale, 4), round(spread, 4)) == (27.0236, 0.5946)
    # percentiles of that fit, recomputed for this project:
    assert [rosin_rammler_size(p, scale, spread) for p in (0.1, 0.5, 0.9)] == pytest.approx([0.61388, 14.58959, 109.87999], rel=5e-5)


def test_sizes_by_formula() -> None:
    """Computed for this project from the closed forms: Weibull d' 20, n 1.8; log-normal median 6 um, s 0.6."""
    assert [rosin_rammler_size(p, 20, 1.8) for p in (0.1, 0.5, 0.9)] == pytest.approx([5.728927, 16.315474, 31.787834], abs=5e-7)
    assert [lognormal_size_um(p, 6, 0.6) for p in (0.1, 0.5, 0.9)] == pytest.approx([2.781050, 6.0, 12.944751], abs=5e-7)


def test_openings_of_standard_sieves() -> None:
    """Spot check against a supplier's table: 200 = 75 um, 325 = 45, 400 = 38; steps of the ISO series are powers of ten."""
    assert [ASTM_E11[number][0] for number in ("100", "200", "325", "400")] == [150, 75, 45, 38]
    for series, step in (("R 20/3", 10 ** (3 / 20)), ("R 40/3", 10 ** (3 / 40)), ("R 20", 10 ** (1 / 20))):
        sizes = ISO_565[series]
        assert all(a / b == pytest.approx(step, rel=0.04) for a, b in pairwise(sizes))
    assert {opening for opening, _ in ASTM_E11.values()} <= set(ISO_565["R 40/3"])


def test_a_sieve_table_books_its_loss() -> None:
    """Common practice, no source: shares are of what was found; what is missing of the charge is a loss of its own."""
    table = sieve_table([250, 150, 75], [1_000, 3_000, 4_000], 2_000, charge_mg=10_100)
    assert table.finer_frac == pytest.approx((0.9, 0.6, 0.2))
    assert (table.pan_frac, table.lost_mg) == (0.2, 100)
    assert math.fsum(table.kept_frac) + table.pan_frac == pytest.approx(1)
