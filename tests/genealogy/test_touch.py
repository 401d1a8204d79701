from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.contact import contacts
from lots.genealogy.touch import Touch, excluded_neighbours, touched_by, touches
from lots.trade.lineage import Clean, Contact, Use


def row(*left_mg: int | None) -> tuple[Contact, ...]:
    """Runs 1, 2, 3 … one after the other on one machine."""
    return tuple(Contact("pair 5", run, run + 1, left) for run, left in enumerate(left_mg, start=1))


def test_a_touches_c_through_b_when_nothing_was_cleaned() -> None:
    chain = row(310, 90)
    assert touched_by(3, chain) == (Touch(2, 90, "pair 5", 3, 1), Touch(1, 90, "pair 5", 2, 2))
    assert touches(1, chain) == (Touch(3, 90, "pair 5", 2, 2), Touch(2, 310, "pair 5", 1, 1))
    assert touched_by(1, chain) == ()
    assert touches(3, chain) == ()


def test_a_clean_down_ends_the_chain() -> None:
    chain = (Contact("pair 5", 1, 3, 310, cleaned_by=2), Contact("pair 5", 3, 4, 90))
    assert [touch.run for touch in touched_by(4, chain)] == [3]
    assert [touch.run for touch in touches(1, chain)] == []


def test_an_unknown_bound_is_kept_only_where_nothing_else_bounds_the_chain() -> None:
    assert [touch.bound_mg for touch in touched_by(3, row(None, 90))] == [90, 90]
    assert [touch.bound_mg for touch in touched_by(3, row(90, None))] == [None, 90]
    assert [touch.bound_mg for touch in touched_by(3, row(None, None))] == [None, None]


def test_two_machines_can_each_carry_their_own() -> None:
    both = (Contact("pair 5", 1, 2, 300), Contact("sieve", 1, 2, 20))
    assert touched_by(2, both) == (Touch(1, 320, "pair 5", 2, 1),)
    around = (Contact("pair 5", 1, 2, 300), Contact("sieve", 2, 3, 20), Contact("filler", 1, 3, 5))
    assert touches(1, around)[0] == Touch(3, 25, "filler", 1, 1)


def test_runs_that_overlap_are_bounded_although_they_touch_in_a_circle() -> None:
    circle = (Contact("sieve", 1, 2, 30), Contact("sieve", 2, 1, 40), Contact("sieve", 2, 3, 50))
    assert {touch.run: touch.bound_mg for touch in touched_by(3, circle)} == {2: 50, 1: 30}
    assert {touch.run: touch.bound_mg for touch in touches(2, circle)} == {1: 40, 3: 50}


def test_excluded_neighbours_name_the_clean_down_on_both_sides() -> None:
    uses = [Use("pair 5", first, first + 1, first, 10) for first in (1, 4, 7, 9)]
    found = contacts(uses, [Clean("pair 5", 3, opened=True), Clean("pair 5", 6, opened=True)])
    shut_out = excluded_neighbours(4, found)
    assert [(each.earlier, each.later, each.cleaned_by) for each in shut_out] == [(1, 4, 3), (4, 7, 6)]
    assert excluded_neighbours(9, found) == ()


def test_a_neighbour_that_comes_in_by_another_machine_is_not_excluded() -> None:
    cleaned = Contact("pair 5", 1, 3, 10, cleaned_by=2)
    assert excluded_neighbours(3, (cleaned,)) == (cleaned,)
    assert excluded_neighbours(3, (cleaned, Contact("sieve", 1, 3, 10))) == ()
    assert excluded_neighbours(1, (cleaned, Contact("sieve", 1, 3, 10))) == ()


@st.composite
def webs(draw: st.DrawFn) -> tuple[Contact, ...]:
    pairs = st.tuples(st.integers(1, 7), st.integers(1, 7)).filter(lambda pair: pair[0] != pair[1])
    rows = draw(st.lists(st.tuples(pairs, st.integers(0, 50), st.sampled_from([None, None, None, 99])), max_size=14))
    return tuple(Contact("m", *pair, bound_mg=bound, cleaned_by=clean) for pair, bound, clean in rows)


def flow_graph(web: tuple[Contact, ...]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(1, 8))
    for each in web:
        if each.cleaned_by is None:
            capacity = graph.get_edge_data(each.earlier, each.later, {"capacity": 0})["capacity"] + each.bound_mg
            graph.add_edge(each.earlier, each.later, capacity=capacity)
    return graph


@given(webs(), st.integers(1, 7))
def test_the_bound_is_never_below_the_greatest_possible_flow(web: tuple[Contact, ...], run: int) -> None:
    graph = flow_graph(web)
    back = {touch.run: touch for touch in touched_by(run, web)}
    ahead = {touch.run: touch for touch in touches(run, web)}
    assert set(back) == nx.ancestors(graph, run)
    assert set(ahead) == nx.descendants(graph, run)
    for other, touch in back.items():
        assert touch.bound_mg >= nx.maximum_flow_value(graph, other, run)
        assert touch.contact_count == nx.shortest_path_length(graph, other, run)
    for other, touch in ahead.items():
        assert touch.bound_mg >= nx.maximum_flow_value(graph, run, other)
        assert touch.contact_count == nx.shortest_path_length(graph, run, other)


@given(st.lists(st.integers(0, 1000), min_size=1, max_size=30))
def test_on_one_machine_the_bound_is_the_smallest_on_the_chain(left_mg: list[int]) -> None:
    chain, last = row(*left_mg), len(left_mg) + 1
    assert {touch.run: touch.bound_mg for touch in touched_by(last, chain)} == {
        run: min(left_mg[run - 1 :]) for run in range(1, last)
    }


def test_years_without_a_clean_down_are_no_trouble() -> None:
    chain = row(*([100] * 20_000))
    assert len(touched_by(20_001, chain)) == 20_000
    assert touches(1, chain)[0].contact_count == 20_000


def test_a_way_round_is_bounded_by_its_own_narrowest_contact() -> None:
    web = (Contact("a", 1, 2, 1000), Contact("b", 2, 3, 100), Contact("c", 2, 4, 3), Contact("d", 4, 3, 50))
    assert {touch.run: touch.bound_mg for touch in touches(1, web)} == {2: 1000, 3: 103, 4: 3}
