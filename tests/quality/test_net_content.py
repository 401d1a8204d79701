"""Net content: what is accepted, what is not, and what is always so."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.net_content import PLANS, judge, plan_for, tolerable_deficiency_mg
from lots.trade.language import Refused

NOMINAL_MG = 30_000
contents = st.lists(st.integers(min_value=20_000, max_value=40_000), min_size=50, max_size=50)


def check(contents_mg: list[int], lot_size: int = 300, plan: str = "oiml_r87_2004") -> object:
    return judge(plan=plan, nominal_mg=NOMINAL_MG, contents_mg=contents_mg, lot_size=lot_size).accepted


def test_full_packs_are_accepted() -> None:
    result = judge(plan="oiml_r87_2004", nominal_mg=NOMINAL_MG, contents_mg=[30_200, 30_300] * 25, lot_size=300)
    assert (result.accepted, result.t1_count, result.t2_count, result.giveaway_mg) == (True, 0, 0, 250.0)


def test_a_short_mean_is_not() -> None:
    result = judge(plan="oiml_r87_2004", nominal_mg=NOMINAL_MG, contents_mg=[29_900, 29_910] * 25, lot_size=300)
    assert result.accepted is False
    assert result.reasons[0].text("en").startswith("The mean of 29.91")
    assert "平均" in result.reasons[0].text("ja")


def test_a_mean_that_lies_within_its_scatter_is_accepted() -> None:
    assert check([29_000, 30_900] * 25) is True


def test_too_many_short_packs_and_one_far_short() -> None:
    assert check([27_299] * 3 + [30_500] * 47) is True
    assert check([27_299] * 4 + [30_500] * 46) is False
    assert check([24_599] + [30_500] * 49) is False


def test_what_is_certain_is_said_before_the_sample_is_whole() -> None:
    assert check([24_599]) is False
    assert check([30_500] * 49) is None
    assert judge(plan="oiml_r87_2004", nominal_mg=NOMINAL_MG, contents_mg=[30_500] * 49, lot_size=300).wanted_count == 1


def test_packs_beyond_the_plan_count_for_the_worst_only() -> None:
    assert check([30_500] * 50 + [27_000] * 9) is True
    assert check([30_500] * 50 + [24_000]) is False


def test_a_plan_that_says_nothing_of_such_a_lot_does_not_judge() -> None:
    result = judge(plan="oiml_r87_2004", nominal_mg=NOMINAL_MG, contents_mg=[30_000] * 50, lot_size=60)
    assert (result.accepted, plan_for(60), plan_for(100)) == (None, "finite_lot_1999", "oiml_r87_2004")
    assert "says nothing of 60 packs" in result.reasons[0]
    assert judge(plan="double_1976", nominal_mg=2_000, contents_mg=[2_000] * 30, lot_size=300).accepted is None


def test_every_pack_of_a_small_lot_is_weighed() -> None:
    assert check([30_000] * 4, 5, "finite_lot_1999") is None
    assert check([30_000] * 5, 5, "finite_lot_1999") is True
    assert check([30_000] * 4 + [29_999], 5, "finite_lot_1999") is False


def test_nothing_weighed_is_not_known() -> None:
    result = judge(plan="oiml_r87_2004", nominal_mg=NOMINAL_MG, contents_mg=[], lot_size=300)
    assert result.accepted is None
    assert math.isnan(result.mean_mg)


def test_less_than_nothing_is_refused() -> None:
    with pytest.raises(Refused, match="Look at the tare"):
        check([-1])


@given(contents, st.integers(min_value=0, max_value=2_000))
def test_fuller_packs_are_never_judged_worse(contents_mg: list[int], more_mg: int) -> None:
    # The same addition to every pack leaves the scatter as it is.
    if check(contents_mg) is True:
        assert check([content + more_mg for content in contents_mg]) is True


@given(contents, st.permutations(range(50)))
def test_the_order_of_weighing_does_not_matter_to_a_single_plan(contents_mg: list[int], order: list[int]) -> None:
    assert check([contents_mg[i] for i in order]) == check(contents_mg)


@given(st.sampled_from(sorted(PLANS)), contents, st.integers(min_value=2, max_value=12_000))
def test_an_answer_always_comes_with_its_reason(plan: str, contents_mg: list[int], lot_size: int) -> None:
    result = judge(plan=plan, nominal_mg=NOMINAL_MG, contents_mg=contents_mg, lot_size=lot_size)
    assert result.reasons
    assert result.t2_count == 0 or result.accepted is not True
    assert result.accepted is not True or result.t1_count <= result.t1_allowed_count


@given(st.integers(min_value=1, max_value=50_000_000))
def test_what_may_be_missing_is_less_than_the_pack_and_never_below_one_per_cent(nominal_mg: int) -> None:
    deficiency_mg = tolerable_deficiency_mg(nominal_mg)
    assert deficiency_mg >= nominal_mg / 100
    assert deficiency_mg < nominal_mg or nominal_mg <= 100
