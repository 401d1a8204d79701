"""The rate of the stones. Figures of pair 3 are the season's own; the rule is common practice, no source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from lots.balance.throughput import (
    PairState,
    hours_to_floor,
    pair_state,
    rate_g_per_h,
    rate_sentence,
)
from lots.balance.trend import mann_kendall, theil_sen
from lots.trade.weighing import Verdict

Pairs = dict[int, list[tuple[float, float]]]


@pytest.fixture(scope="module")
def pairs(season: dict[str, Any]) -> Pairs:
    """Runs of each stone pair in order of time, as (hours since dressing, g/h)."""
    runs = {}
    for run in sorted(season["runs"], key=lambda r: r["start"]):
        runs.setdefault(run["pair"], []).append((run["hours_since_dressing"], run["g_per_h"]))
    return runs


def rates(pairs: Pairs, pair: int) -> list[float]:
    return [g_per_h for _, g_per_h in pairs[pair]]


def first_run_at(rates: Sequence[float], verdicts: set[Verdict]) -> int | None:
    return next((n for n in range(1, len(rates) + 1) if pair_state(rates[:n]).verdict in verdicts), None)


def test_a_rate_is_grams_by_hours_run(season: dict[str, Any]) -> None:
    assert rate_g_per_h(893_000, 22.0) == pytest.approx(40.59, abs=0.005)
    for run in season["runs"]:
        assert rate_g_per_h(round(run["tub_kg"] * 1e6), run["hours"]) == pytest.approx(run["g_per_h"], abs=0.006)
    with pytest.raises(ValueError, match="no hours has no rate"):
        rate_g_per_h(893_000, 0)


def test_pair_three_is_looked_at_in_run_26_and_dressed_in_run_33(pairs: Pairs) -> None:
    falling = rates(pairs, 3)
    assert len(falling) == 43
    assert first_run_at(falling, {Verdict.LOOK, Verdict.STOP}) == 26
    assert first_run_at(falling, {Verdict.STOP}) == 33
    assert (pairs[3][25][0], pairs[3][32][0]) == (984, 1138)
    assert pair_state(falling[:26]).recent_g_per_h == pytest.approx(37.91)
    assert pair_state(falling[:33]).recent_g_per_h == pytest.approx(36.05)


def test_once_too_slow_it_stays_too_slow(pairs: Pairs) -> None:
    falling = rates(pairs, 3)
    assert all(pair_state(falling[:n]).verdict is Verdict.STOP for n in range(33, 44))


def test_the_other_pairs_never_say_anything(pairs: Pairs) -> None:
    for pair in (1, 2, 4, 5, 6):
        assert first_run_at(rates(pairs, pair), {Verdict.LOOK, Verdict.STOP}) is None


def test_pair_three_at_the_end_of_the_season(pairs: Pairs) -> None:
    state = pair_state(rates(pairs, 3))
    assert state.base_g_per_h == pytest.approx(40.27, abs=0.006)
    assert state.recent_g_per_h == pytest.approx(32.73, abs=0.006)
    assert state.share_frac == pytest.approx(0.813, abs=0.0005)
    test = mann_kendall(rates(pairs, 3))
    assert (test.s, round(test.z, 2)) == (-759, -7.94)
    assert state.fall_z == test.z


def test_slopes_over_hours_since_dressing(pairs: Pairs) -> None:
    slopes = {pair: 100 * theil_sen([r for _, r in runs], [h for h, _ in runs]).slope for pair, runs in pairs.items()}
    assert slopes.pop(3) == pytest.approx(-0.97, abs=0.005)
    assert all(-0.095 < slope < -0.035 for slope in slopes.values())


def test_too_few_runs_cannot_be_judged() -> None:
    assert pair_state([40.0] * 12) == PairState(12, Verdict.CANNOT)
    assert pair_state([40.0] * 13).verdict is Verdict.ADDS_UP
    assert pair_state([]).verdict is Verdict.CANNOT
    with pytest.raises(ValueError, match="no base"):
        pair_state([40.0] * 12, base_runs=3)


def test_a_sudden_slow_week_without_a_fall_is_not_called() -> None:
    jumping = [40.0, 30.0] * 10 + [30.0, 40.0, 30.0]
    assert pair_state(jumping).share_frac < 0.9
    assert pair_state(jumping).verdict is Verdict.ADDS_UP


def test_when_it_will_reach_the_floor(pairs: Pairs) -> None:
    hours, falling = zip(*pairs[3], strict=True)
    trend = theil_sen(falling[:26], hours[:26])
    ahead = hours_to_floor(trend, hours[25], 36.25)
    assert trend.intercept + trend.slope * (hours[25] + ahead) == pytest.approx(36.25)
    assert hours_to_floor(trend, hours[25] + ahead + 1, 36.25) == 0
    rising = theil_sen([40.0, 41.0, 42.0, 43.0], [1, 2, 3, 4])
    assert hours_to_floor(rising, 4, 36.25) is None
    assert hours_to_floor(rising, 4, 50.0) == 0


def test_rates_in_words(pairs: Pairs) -> None:
    falling = rates(pairs, 3)
    assert rate_sentence(pair_state(falling[:20])) == "39.9\u00a0g/h where 40.3 was usual after dressing."
    assert rate_sentence(pair_state(falling[:26])) == "The rate falls: 37.9\u00a0g/h where 40.3 was usual after dressing."
    assert rate_sentence(pair_state(falling)) == "Too slow, dress it: 32.7\u00a0g/h where 40.3 was usual after dressing."
    assert rate_sentence(pair_state(falling), "ja") == "遅すぎる、目立てを。いま 32.7\u00a0g/h、目立て直後は 40.3。"
    assert rate_sentence(pair_state(falling[:4])) == "Too few runs since dressing to judge the rate: 4."


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: mann_kendall([1, 2, 3]), "4 are needed"),
    (lambda: theil_sen([1, 2, 3], [1, 2, 3]), "4 are needed"),
    (lambda: theil_sen([1, 2, 3, 4], [1, 2, 3]), "its own time"),
    (lambda: theil_sen([1, 2, 3, 4], [2, 2, 2, 2]), "at least two"),
])
def test_what_shows_no_trend_is_refused(call: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        call()


def test_all_equal_is_no_trend() -> None:
    assert mann_kendall([5.0] * 6).z == 0
    assert theil_sen([5.0] * 6, range(6)).slope == 0
