from __future__ import annotations

from collections.abc import Callable

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.graph import GenealogyError, ancestors, ancestors_of, descendants, descendants_of
from lots.trade.lineage import Link

SIZE = 24


@st.composite
def histories(draw: st.DrawFn) -> list[Link]:
    pairs = draw(st.sets(st.tuples(st.integers(1, SIZE), st.integers(1, SIZE)).filter(lambda pair: pair[0] < pair[1])))
    return [Link(step, source, 0.5) for source, step in sorted(pairs)]


def graph_of(links: list[Link]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(1, SIZE + 1))
    graph.add_edges_from((link.source, link.step) for link in links)
    return graph


@given(histories(), st.integers(1, SIZE))
def test_both_directions_agree_with_a_graph_library(links: list[Link], step: int) -> None:
    graph = graph_of(links)
    assert ancestors(links, step) == tuple(sorted(nx.ancestors(graph, step)))
    assert descendants(links, step) == tuple(sorted(nx.descendants(graph, step)))


@given(histories(), st.sets(st.integers(1, SIZE), max_size=5))
def test_several_starts_are_the_union_of_each(links: list[Link], steps: set[int]) -> None:
    graph = graph_of(links)
    assert set(ancestors_of(links, steps)) == set().union(*(nx.ancestors(graph, step) for step in steps))
    assert set(descendants_of(links, steps)) == set().union(*(nx.descendants(graph, step) for step in steps))


def test_a_step_without_links_has_nothing_before_or_after_it() -> None:
    assert ancestors([], 5) == ()
    assert descendants([Link(3, 2, 1.0)], 5) == ()


def test_ids_that_share_nothing_with_the_start_are_passed_over() -> None:
    links = [Link(4, 1, 1.0), Link(5, 2, 1.0), Link(6, 5, 1.0)]
    assert ancestors(links, 6) == (2, 5)
    assert descendants(links, 1) == (4,)


def test_a_ladder_of_rework_ends_although_its_paths_cannot_be_counted() -> None:
    # 2 ** 5000 paths from top to bottom, 5000 steps.
    links = [Link(step, step - back, 0.5) for step in range(3, 5001) for back in (1, 2)]
    assert ancestors(links, 5000) == tuple(range(1, 5000))
    assert descendants(links, 1) == tuple(range(3, 5001))


@pytest.mark.parametrize("source", [7, 8])
@pytest.mark.parametrize("ask", [ancestors, descendants])
def test_a_source_that_is_not_earlier_is_refused_in_words(ask: Callable[..., object], source: int) -> None:
    with pytest.raises(GenealogyError, match=f"Step 7 takes from step {source}, which was written down later"):
        ask([Link(2, 1, 1.0), Link(7, source, 1.0)], 2)


def test_the_number_kept_for_the_unknown_is_no_step() -> None:
    with pytest.raises(GenealogyError, match="numbered from 1"):
        ancestors([Link(3, 0, 1.0)], 3)
