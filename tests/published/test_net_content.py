"""Net content: published tables, and what follows from them by computation. Sources stand beside each check."""

from __future__ import annotations

import math

import pytest
from scipy.stats import binom, t

from lots.quality.net_content import PLANS, judge, tolerable_deficiency_mg, weighing_error_most_mg
from lots.quality.net_content_plans import EVERY_PACK, PlanRow
from lots.trade.language import Refused


def g(figure: float) -> int:
    return round(figure * 1_000)


# Directive 76/211/EEC annex I 2.4; Australian NTMR 2009 reg 4.36 (the same rows, 0 to 50 kg, rounding). The row of 1 kg to
# 10 kg was read in the Australian table only.
@pytest.mark.parametrize(("nominal_g", "deficiency_g"), [
    (50, 4.5), (100, 4.5), (200, 9), (300, 9), (500, 15), (1_000, 15), (10_000, 150), (15_000, 150), (50_000, 500),
    (2, 0.2), (20, 1.8), (30, 2.7), (33, 3.0), (40, 3.6), (150, 6.8), (1_001, 16), (1_034, 16), (1_067, 17),
])
def test_what_may_be_missing(nominal_g: float, deficiency_g: float) -> None:
    assert tolerable_deficiency_mg(g(nominal_g)) == g(deficiency_g)


@pytest.mark.parametrize("nominal_mg", [0, -1, 50_000_001])
def test_outside_the_table_it_is_refused(nominal_mg: int) -> None:
    with pytest.raises(Refused, match="goes up to 50 kg"):
        tolerable_deficiency_mg(nominal_mg)


# Limits of a small pack and a tin, computed from the table.
@pytest.mark.parametrize(("nominal_g", "t1_g", "t2_g"), [(2, 1.8, 1.6), (20, 18.2, 16.4), (30, 27.3, 24.6), (100, 95.5, 91.0)])
def test_a_pack_at_the_limit_is_none_that_falls_short(nominal_g: float, t1_g: float, t2_g: float) -> None:
    at = judge(plan="finite_lot_1999", nominal_mg=g(nominal_g), contents_mg=[g(t1_g), g(t2_g)], lot_size=2)
    below = judge(plan="finite_lot_1999", nominal_mg=g(nominal_g), contents_mg=[g(t1_g) - 1, g(t2_g) - 1], lot_size=2)
    assert (at.t1_count, at.t2_count, below.t1_count, below.t2_count) == (1, 0, 2, 1)


# United Kingdom (NI) SR 2011/331 schedule 2, 1.3: the error of the check is at most a fifth of T.
@pytest.mark.parametrize(("nominal_g", "error_g"), [(2, 0.04), (30, 0.54)])
def test_what_a_scale_may_err(nominal_g: float, error_g: float) -> None:
    # For 2 g the notes' 0.036 g is a fifth of 0.18 g, before T is rounded up to 0.2 g.
    assert weighing_error_most_mg(g(nominal_g)) == pytest.approx(error_g * 1_000)


# NTMR 2009 reg 4.34 and NZ 1999 schedule 7A: factor = t(0.995, n-1)/sqrt n, for finite lots × sqrt(1 - n/N) with the top of
# the row as N; 76/211 annex II: the same t for 30 and 50 packs.
def by_formula(row: PlanRow, *, finite: bool) -> float:
    n = row.mean_count or row.sample_count
    share = n / row.last_size if finite and row.last_size else 0.0
    return float(t.ppf(0.995, n - 1)) / math.sqrt(n) * math.sqrt(1 - share)


@pytest.mark.parametrize(("name", "row"), [(p.name, r) for p in PLANS.values() for r in p.rows if r.sample_count != EVERY_PACK])
def test_factors_are_those_of_the_formula(name: str, row: PlanRow) -> None:
    assert row.k == pytest.approx(by_formula(row, finite=name == "finite_lot_1999"), abs=5.1e-4)


@pytest.mark.parametrize(("name", "rows"), [
    ("oiml_r87_2004", [(100, 50, 0.379, 3), (500, 50, 0.379, 3), (501, 80, 0.295, 5), (3_200, 80, 0.295, 5), (3_201, 125, 0.234, 7)]),
    ("finite_lot_1999", [(2, 0, 0, 0), (12, 0, 0, 0), (13, 12, 0.746, 0), (40, 12, 0.826, 1), (149, 12, 0.860, 2), (399, 32, 0.465, 3),
                         (4_000, 32, 0.483, 4), (4_001, 80, 0.295, 6)]),
    ("double_1976", [(100, 30, 0.503, 1), (501, 50, 0.379, 2), (3_201, 80, 0.379, 3)]),
])
def test_rows_of_the_plans(name: str, rows: list[tuple[int, int, float, int]]) -> None:
    found = [(size, row.sample_count, row.k, row.t1_allowed_count) for size, *_ in rows if (row := PLANS[name].row(size))]
    assert found == rows


# Acceptance probabilities of the double plan at 1, 2.5, 5, 10 and 15 per cent of short packs, computed for the rows of
# 76/211 annex II by a separate program.
@pytest.mark.parametrize(("lot_size", "probabilities"), [
    (500, (0.9966, 0.9565, 0.7636, 0.2773, 0.0637)), (3_200, (0.9998, 0.9849, 0.7812, 0.1666, 0.0166)),
    (10_000, (1.0000, 0.9829, 0.6475, 0.0444, 0.0013)),
])
def test_the_double_plan_accepts_as_often_as_published(lot_size: int, probabilities: tuple[float, ...]) -> None:
    row = PLANS["double_1976"].row(lot_size)
    assert row is not None
    verdict = {(a, b): accepts(lot_size, row, a, b) for a in range(row.t1_reject_count + 1) for b in range(row.t1_both_count + 2)}
    for share, expected in zip((0.01, 0.025, 0.05, 0.10, 0.15), probabilities, strict=True):
        p = sum(
            binom.pmf(a, row.sample_count, share) * binom.pmf(b, row.second_count, share)
            for (a, b), good in verdict.items() if good and a > row.t1_allowed_count
        ) + binom.cdf(row.t1_allowed_count, row.sample_count, share)
        assert p == pytest.approx(expected, abs=6e-5)


def accepts(lot_size: int, row: PlanRow, first: int, second: int) -> bool:
    """Ask the judge itself: so many short packs in the first sample and in the second."""
    short, good = 95_000, 101_000
    contents = [short] * first + [good] * (row.sample_count - first) + [short] * second + [good] * (row.second_count - second)
    return judge(plan="double_1976", nominal_mg=100_000, contents_mg=contents, lot_size=lot_size).accepted is True


def test_a_double_plan_stops_after_the_first_sample_where_it_can() -> None:
    clean = judge(plan="double_1976", nominal_mg=100_000, contents_mg=[100_500] * 30, lot_size=300)
    between = judge(plan="double_1976", nominal_mg=100_000, contents_mg=[95_000] * 2 + [101_000] * 28, lot_size=300)
    bad = judge(plan="double_1976", nominal_mg=100_000, contents_mg=[95_000] * 3 + [101_000] * 27, lot_size=300)
    assert (clean.accepted, between.accepted, between.wanted_count, bad.accepted) == (True, None, 30, False)
