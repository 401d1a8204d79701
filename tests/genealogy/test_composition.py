from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.composition import UNKNOWN, fold, mix
from lots.genealogy.graph import GenealogyError
from lots.trade.lineage import Link


@st.composite
def books(draw: st.DrawFn) -> tuple[list[Link], set[int], int]:
    """Links of a random history with open ends, its harvests and its number of steps."""
    size = draw(st.integers(2, 18))
    harvests = draw(st.sets(st.integers(1, max(1, size // 2)), min_size=1))
    links: list[Link] = []
    for step in range(2, size + 1):
        if step in harvests:
            continue
        sources = draw(st.lists(st.integers(1, step - 1), unique=True, max_size=4))
        masses = [draw(st.integers(1, 10_000)) for _ in sources]
        missing = draw(st.sampled_from([0, 0, 0, 17, 5_000]))
        total = sum(masses) + missing
        links += [Link(step, source, mass / total) for source, mass in zip(sources, masses, strict=True)]
    return links, harvests, size


def solved(links: list[Link], harvests: set[int], size: int) -> np.ndarray:
    """Composition of every step from (1 - S) X = B; column 0 is the unknown."""
    shares = np.zeros((size + 1, size + 1))
    ends = np.zeros((size + 1, size + 1))
    for link in links:
        shares[link.step, link.source] = link.share_frac
    for step in range(1, size + 1):
        ends[step, step if step in harvests else UNKNOWN] = 1.0 - shares[step].sum()
    return np.linalg.solve(np.eye(size + 1) - shares, ends)


@given(books())
def test_folding_agrees_with_a_linear_solve(book: tuple[list[Link], set[int], int]) -> None:
    links, harvests, size = book
    truth = solved(links, harvests, size)
    for step in range(1, size + 1):
        shares = fold(step, links, harvests)
        assert np.allclose([shares.get(key, 0.0) for key in range(size + 1)], truth[step], atol=1e-10)
        assert abs(math.fsum(shares.values()) - 1) < 1e-9


@given(books())
def test_mixing_step_by_step_gives_what_folding_gives(book: tuple[list[Link], set[int], int]) -> None:
    links, harvests, size = book
    kept: dict[int, dict[int, float]] = {}
    for step in range(1, size + 1):
        inputs = [(link.share_frac, kept[link.source]) for link in links if link.step == step]
        missing = 1 - math.fsum(share for share, _ in inputs)
        if missing > 1e-12:
            inputs.append((missing, {UNKNOWN: 1.0}))
        kept[step] = {step: 1.0} if step in harvests else mix(inputs)
        assert kept[step] == pytest.approx(dict(fold(step, links, harvests)), abs=1e-12)


def test_presence_agrees_with_the_linear_solve_on_larger_seeded_histories() -> None:
    rng = random.Random(7)
    for _ in range(5):
        harvests, links = set(range(1, 21)), []
        for step in range(21, 301):
            sources = rng.sample(range(max(1, step - 40), step), rng.randint(1, 3))
            masses = [rng.randint(1, 10**6) for _ in sources]
            links += [Link(step, s, m / sum(masses)) for s, m in zip(sources, masses, strict=True)]
        shares = fold(300, links, harvests)
        truth = solved(links, harvests, 300)[300]
        assert UNKNOWN not in shares
        assert set(shares) == set(np.flatnonzero(truth > 1e-15))
        assert np.allclose([shares[key] for key in shares], truth[list(shares)], atol=1e-12)


def test_blend_and_rework_worked_by_hand() -> None:
    # 12 kg of A with 8 kg of B; then 18.5 kg of that with 1.5 kg of rework that is 30 % A.
    first = mix([(12.0, {1: 1.0}), (8.0, {2: 1.0})])
    assert first == pytest.approx({1: 0.60, 2: 0.40}, abs=1e-15)
    second = mix([(18.5, first), (1.5, {1: 0.3, 2: 0.7})])
    assert second == pytest.approx({1: 0.5775, 2: 0.4225}, abs=1e-15)


def test_what_the_links_leave_open_is_unknown() -> None:
    assert fold(3, [Link(3, 1, 0.9)], {1}) == pytest.approx({UNKNOWN: 0.1, 1: 0.9})
    assert fold(3, [], {1}) == {UNKNOWN: 1.0}
    assert fold(3, [Link(3, 1, 0.5), Link(3, 2, 0.5)], {1}) == {UNKNOWN: 0.5, 1: 0.5}


def test_one_milligram_in_a_tonne_stays_unknown() -> None:
    shares = fold(2, [Link(2, 1, (10**9 - 1) / 10**9)], {1})
    assert shares[UNKNOWN] == pytest.approx(1e-9, rel=1e-6)


def test_rounding_of_many_inputs_makes_no_unknown() -> None:
    masses = [random.Random(3).randint(1, 10**9) for _ in range(1000)]
    links = [Link(2000, place + 1, mass / sum(masses)) for place, mass in enumerate(masses)]
    assert UNKNOWN not in fold(2000, links, range(1, 1001))


def test_a_harvest_is_an_end_and_two_draws_on_one_source_add_up() -> None:
    links = [Link(2, 1, 1.0), Link(3, 2, 0.25), Link(3, 2, 0.35), Link(3, 1, 0.4)]
    assert fold(3, links, {1, 2}) == pytest.approx({1: 0.4, 2: 0.6})
    assert fold(2, links, {1, 2}) == {2: 1.0}


def test_a_line_that_was_corrected_to_nothing_leaves_no_trace_in_the_shares() -> None:
    assert fold(3, [Link(3, 1, 0.0), Link(3, 2, 1.0)], {1, 2}) == {2: 1.0}
    assert mix([(0.0, {1: 1.0}), (5.0, {2: 1.0})]) == {2: 1.0}


def test_a_source_too_small_for_a_float_is_still_contained() -> None:
    links = [Link(2, 1, 1.0)]
    for step in range(3, 900, 2):
        links += [Link(step + 1, step, 0.99), Link(step + 1, step - 1, 0.01)]
    shares = fold(900, links, {1, *range(3, 900, 2)})
    assert 1 in shares
    assert shares[1] == 0.0
    assert math.fsum(shares.values()) == pytest.approx(1, abs=1e-12)


def test_a_ladder_with_more_paths_than_atoms_is_folded_at_once() -> None:
    links = [Link(step, step - back, 0.5) for step in range(3, 4001) for back in (1, 2)]
    shares = fold(4000, links, {1, 2})
    # Shares of a two-step walk tend to 1/3 and 2/3.
    assert shares == pytest.approx({1: 1 / 3, 2: 2 / 3}, abs=1e-12)


def test_nothing_put_in_is_unknown() -> None:
    assert mix([]) == {UNKNOWN: 1.0}
    assert mix([(0.0, {1: 1.0})]) == {UNKNOWN: 1.0}


@pytest.mark.parametrize("mass", [-1.0, math.nan, math.inf])
def test_a_dry_mass_below_zero_or_without_a_value_is_refused(mass: float) -> None:
    with pytest.raises(GenealogyError, match="a mass is zero or more"):
        mix([(1.0, {1: 1.0}), (mass, {2: 1.0})])


@pytest.mark.parametrize("shares", [{}, {1: 0.9}, {1: 1.1}, {1: 1.5, 2: -0.5}, {1: math.nan}])
def test_a_composition_that_is_not_whole_is_refused(shares: dict[int, float]) -> None:
    with pytest.raises(GenealogyError, match="instead of 1"):
        mix([(1.0, shares)])


@pytest.mark.parametrize("share", [-0.1, 1.1, math.nan])
def test_a_share_outside_its_range_is_refused(share: float) -> None:
    with pytest.raises(GenealogyError, match="Step 2 is said to hold the share"):
        fold(2, [Link(2, 1, share)], {1})


def test_inputs_that_are_more_than_the_whole_are_refused() -> None:
    with pytest.raises(GenealogyError, match=r"step 3 add up to 1\.2"):
        fold(3, [Link(3, 1, 0.6), Link(3, 2, 0.6)], {1, 2})
    with pytest.raises(GenealogyError, match="which was written down later"):
        fold(3, [Link(3, 3, 1.0)], {1, 2})
