"""The milling plan: how long an order takes, with what falls due on the way."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.planning.milling import MillingPlan, PairAhead, milling_plan

PAIRS = st.lists(
    st.builds(
        PairAhead, code=st.just("SP"), rate_g_per_h=st.floats(10, 120), u_rate_g_per_h=st.floats(0, 3), free_in_h=st.floats(0, 100),
        dressing_in_h=st.none() | st.floats(0, 500), between_dressings_h=st.none() | st.floats(100, 1500),
    ),
    min_size=1, max_size=6,
)


def test_a_kilogram_on_one_pair_takes_thirty_three_hours_and_twenty_minutes() -> None:
    """Common practice, no source: 30 g an hour."""
    plan = milling_plan(1_000_000, [PairAhead("SP1", 30.0, 0.0)])
    assert plan.finish_h == pytest.approx(33 + 20 / 60, abs=1e-3)
    assert (plan.earliest_h, plan.latest_h) == pytest.approx((plan.finish_h, plan.finish_h))


def test_six_pairs_share_an_order_by_their_rates() -> None:
    pairs = [PairAhead(f"SP{i}", 30.0 + i, 0.5) for i in range(6)]
    plan = milling_plan(20_000_000, pairs)
    assert plan.finish_h == pytest.approx(20_000 / sum(p.rate_g_per_h for p in pairs), rel=1e-5)
    assert plan.earliest_h < plan.finish_h < plan.latest_h
    assert plan.shares[5].mass_mg > plan.shares[0].mass_mg


def test_a_pair_that_still_runs_another_job_begins_later() -> None:
    free, busy = PairAhead("SP1", 40.0, 0.0), PairAhead("SP2", 40.0, 0.0, free_in_h=10.0)
    plan = milling_plan(1_200_000, [free, busy])
    assert plan.finish_h == pytest.approx(20.0, abs=1e-3)
    assert [round(s.ground_h, 2) for s in plan.shares] == [20.0, 10.0]


def test_a_dressing_on_the_way_is_said_and_waited_for() -> None:
    plan = milling_plan(4_000_000, [PairAhead("SP3", 40.0, 0.0, dressing_in_h=30.0, between_dressings_h=1000.0)], dressing_h=24.0)
    assert plan.shares[0].dressed_at_h == pytest.approx((30.0,))
    assert plan.finish_h == pytest.approx(124.0, abs=1e-2)


@given(st.integers(100_000, 10**8), PAIRS)
def test_the_shares_make_the_order_and_more_takes_longer(order_mg: int, pairs: list[PairAhead]) -> None:
    plan, more = milling_plan(order_mg, pairs), milling_plan(order_mg * 2, pairs)
    assert math.fsum(share.mass_mg for share in plan.shares) == pytest.approx(order_mg, rel=1e-4)
    assert plan.earliest_h <= plan.finish_h + 1e-3
    assert plan.finish_h <= plan.latest_h + 1e-3
    assert more.finish_h > plan.finish_h


@pytest.mark.parametrize(("order_mg", "pairs"), [(0, [PairAhead("A", 30, 0)]), (1, []), (1, [PairAhead("A", 0, 0)])])
def test_what_is_no_plan_is_refused(order_mg: int, pairs: list[PairAhead]) -> None:
    with pytest.raises(ValueError, match="A plan needs"):
        milling_plan(order_mg, pairs)


def test_a_plan_is_a_frozen_record() -> None:
    plan = milling_plan(1_000, [PairAhead("A", 30, 0)])
    assert isinstance(plan, MillingPlan)
    with pytest.raises(AttributeError):
        plan.order_mg = 2  # type: ignore[misc]
