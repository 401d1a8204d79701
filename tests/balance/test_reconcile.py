"""Reconciliation: what holds for any book, and the corners where a formula breaks down."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st
from scipy import sparse

from lots.balance import reconcile as room
from lots.balance.reconcile import eliminate_serially, reconcile

NAN = float("nan")


def chain(node_count: int, seed: int = 3) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A mill of many steps: each takes the stream before it and gives one on and one away."""
    dice = np.random.default_rng(seed)
    balances = np.zeros((node_count, 2 * node_count + 1))
    flow, true = 1000.0, [1000.0]
    for node in range(node_count):
        balances[node, [2 * node, 2 * node + 1, 2 * node + 2]] = 1, -1, -1
        away = flow * dice.uniform(0.01, 0.2)
        flow -= away
        true += [away, flow]
    sd = 0.002 * np.array(true) + 0.01
    return balances, np.array(true) + sd * dice.standard_normal(len(true)), sd**2


@st.composite
def books(draw: Any) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A book of a few balances over a few streams, some unmeasured, with any small coefficients."""
    rows, n = draw(st.integers(1, 5)), draw(st.integers(2, 9))
    cells = st.sampled_from([-2.0, -1.0, 0.0, 0.0, 1.0, 0.5])
    balances = np.array(draw(st.lists(st.lists(cells, min_size=n, max_size=n), min_size=rows, max_size=rows)))
    values = np.array(draw(st.lists(st.floats(-100, 100), min_size=n, max_size=n)))
    hidden = draw(st.lists(st.booleans(), min_size=n, max_size=n))
    variances = np.array(draw(st.lists(st.floats(0.01, 25), min_size=n, max_size=n)))
    return balances, np.where(hidden, NAN, values), variances


@given(books())
@examples(max_examples=150)
def test_every_balance_closes_that_can_be_reckoned(book: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    balances, values, variances = book
    found = reconcile(incidence=balances, measured=values, covariance=variances)
    known = found.determinable
    whole = ~((balances[:, ~known] != 0).any(axis=1))
    assert np.abs(balances[np.ix_(whole, known)] @ found.estimates[known]) == pytest.approx(0, abs=1e-6)
    assert np.isnan(found.estimates[~known]).all()
    assert np.isnan(found.measurement_statistics[~found.redundant]).all()
    assert found.estimates[~found.redundant & ~np.isnan(values)] == pytest.approx(values[~found.redundant & ~np.isnan(values)], abs=1e-6)


@given(books(), st.floats(0.01, 25))
@examples(max_examples=100)
def test_one_more_measurement_never_makes_an_estimate_worse(book: tuple[np.ndarray, np.ndarray, np.ndarray], variance: float) -> None:
    balances, values, variances = book
    less = reconcile(incidence=balances, measured=values, covariance=variances, with_covariance=True)
    hidden = np.flatnonzero(np.isnan(values))
    if not hidden.size:
        assert less.determinable.all()
        return
    seen, spread = values.copy(), variances.copy()
    seen[hidden[0]], spread[hidden[0]] = 1.0, variance
    more = reconcile(incidence=balances, measured=seen, covariance=spread, with_covariance=True)
    before, after = np.diag(less.covariance_of_estimates), np.diag(more.covariance_of_estimates)
    assert (after[less.determinable] <= before[less.determinable] * (1 + 1e-6) + 1e-9).all()
    assert more.degrees_of_freedom >= less.degrees_of_freedom


def test_dense_and_sparse_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    balances, values, variances = chain(60)
    dense = reconcile(incidence=balances, measured=values, covariance=variances, with_covariance=True)
    monkeypatch.setattr(room, "DENSE_ROWS", 10)
    large = reconcile(incidence=sparse.csr_array(balances), measured=values, covariance=np.diag(variances), with_covariance=True)
    quick = reconcile(incidence=sparse.coo_array(balances), measured=values, covariance=variances, with_tests=False)
    for other in (large, quick):
        assert other.estimates == pytest.approx(dense.estimates, rel=1e-9)
        assert other.global_statistic == pytest.approx(dense.global_statistic, rel=1e-9)
        assert other.degrees_of_freedom == dense.degrees_of_freedom == 60
    assert large.measurement_statistics == pytest.approx(dense.measurement_statistics, rel=1e-7)
    assert large.covariance_of_estimates == pytest.approx(dense.covariance_of_estimates, rel=1e-7, abs=1e-12)


def test_a_large_part_with_unmeasured_streams_falls_back(monkeypatch: pytest.MonkeyPatch) -> None:
    balances, values, variances = chain(40)
    values[[1, 7]] = NAN
    usual = reconcile(incidence=balances, measured=values, covariance=variances)
    monkeypatch.setattr(room, "DENSE_ROWS", 10)
    found = reconcile(incidence=balances, measured=values, covariance=variances)
    assert found.estimates == pytest.approx(usual.estimates, rel=1e-9)
    assert found.degrees_of_freedom == 38


def test_dependent_balances_count_once(monkeypatch: pytest.MonkeyPatch) -> None:
    balances, values, variances = chain(30)
    twice = np.vstack([balances, balances.sum(axis=0), 2 * balances[3]])
    once = reconcile(incidence=balances, measured=values, covariance=variances)
    found = reconcile(incidence=twice, measured=values, covariance=variances)
    monkeypatch.setattr(room, "DENSE_ROWS", 5)
    large = reconcile(incidence=twice, measured=values, covariance=variances)
    for other in (found, large):
        assert other.degrees_of_freedom == 30
        assert other.estimates == pytest.approx(once.estimates, rel=1e-9)
        assert other.global_statistic == pytest.approx(once.global_statistic, rel=1e-7)


def test_parts_that_do_not_touch_are_solved_apart_and_together_alike() -> None:
    one, two = chain(4, 1), chain(7, 2)
    both = sparse.block_diag([one[0], two[0]])
    found = reconcile(incidence=both, measured=np.concatenate([one[1], two[1]]), covariance=np.concatenate([one[2], two[2]]))
    apart = [reconcile(incidence=b, measured=y, covariance=v) for b, y, v in (one, two)]
    assert found.estimates == pytest.approx(np.concatenate([a.estimates for a in apart]), rel=1e-12)
    assert found.global_statistic == pytest.approx(sum(a.global_statistic for a in apart))
    assert found.degrees_of_freedom == 11


def test_streams_that_vary_together_join_their_parts() -> None:
    balances = sparse.block_diag([[[1.0, -1.0]], [[1.0, -1.0]]])
    covariance = np.eye(4)
    covariance[0, 2] = covariance[2, 0] = 0.5
    found = reconcile(incidence=balances, measured=[10.0, 12.0, 20.0, 20.0], covariance=covariance)
    # The second pair closed by itself; its first meter shares an error with the one that is off, and follows it a little.
    assert found.estimates[2] == pytest.approx(found.estimates[3])
    assert found.estimates[2] != pytest.approx(20.0, abs=1e-3)


def test_an_exact_value_stays_and_the_rest_follows() -> None:
    found = reconcile(incidence=[[1, -1, -1]], measured=[10.0, 6.0, 5.0], covariance=[0.0, 1.0, 1.0])
    assert found.estimates == pytest.approx([10.0, 5.5, 4.5])
    assert np.isnan(found.measurement_statistics[0])


def test_exact_values_that_close_check_nothing_and_those_that_do_not_are_refused() -> None:
    closing = reconcile(incidence=[[1, -1, -1], [0, 1, -1]], measured=[10.0, 5.0, 5.0], covariance=[0.0, 0.0, 0.0])
    assert (closing.degrees_of_freedom, closing.global_statistic) == (0, 0.0)
    with pytest.raises(ValueError, match="contradict"):
        reconcile(incidence=[[1, -1, -1]], measured=[10.0, 5.0, 4.0], covariance=[0.0, 0.0, 0.0])


@pytest.mark.parametrize(("asked", "match"), [
    ({"measured": [1.0]}, "1 values stand against 2"),
    ({"covariance": [1.0, -1.0]}, "below nothing"),
    ({"covariance": [1.0, 1.0, 1.0]}, "shape"),
    ({"measured": [1.0, float("inf")]}, "not finite"),
    ({"covariance": [[1.0, 2.0], [2.0, 1.0]]}, "negative variance"),
])
def test_what_cannot_be_is_refused(asked: dict[str, Any], match: str) -> None:
    usual: dict[str, Any] = {"incidence": [[1, -1]], "measured": [1.0, 1.0], "covariance": [1.0, 1.0]}
    with pytest.raises(ValueError, match=match):
        reconcile(**{**usual, **asked})


def test_streams_named_as_unmeasured_are_not_read() -> None:
    found = reconcile(incidence=[[1, -1, -1]], measured=[10.0, 6.0, 99.0], covariance=[1.0, 1.0, 1.0], unmeasured=[2])
    assert found.estimates == pytest.approx([10.0, 6.0, 4.0])
    assert found.degrees_of_freedom == 0


def test_a_flow_below_nothing_is_told_and_not_cut_off() -> None:
    found = reconcile(incidence=[[1, -1, -1]], measured=[5.0, 6.0, NAN], covariance=[0.01, 0.01, 1.0])
    assert found.estimates[2] == pytest.approx(-1.0)


def test_two_meters_in_series_are_one_group_of_suspects() -> None:
    found = eliminate_serially(incidence=[[1, -1, 0], [0, 1, -1]], measured=[10.0, 14.0, 10.1], covariance=[1.0, 1.0, 1.0])
    assert found.steps[0].suspects == (1,)
    pair = eliminate_serially(incidence=[[1, -1]], measured=[10.0, 15.0], covariance=[1.0, 1.0])
    assert pair.steps[0].suspects == (0, 1)
    assert not pair.accepted  # with one of them gone nothing is left that could check the other


def test_a_book_that_closes_is_left_alone() -> None:
    found = eliminate_serially(incidence=[[1, -1, -1]], measured=[10.0, 6.0, 4.1], covariance=[1.0, 1.0, 1.0])
    assert (found.accepted, found.removed, len(found.steps)) == (True, (), 1)
