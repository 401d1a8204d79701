from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.contact import contact_groups, contacts
from lots.genealogy.graph import GenealogyError
from lots.trade.lineage import Clean, Contact, Use

SEASON = Path(__file__).parents[2] / "fixtures" / "demo_season.json"


def mill(*spans: tuple[int, int, int], machine: str = "pair 5", left_mg: int | None = 100) -> list[Use]:
    """Uses of one machine from (run, first step, last step)."""
    return [Use(machine, first, last, run, left_mg) for run, first, last in spans]


def test_neighbours_without_a_clean_down_touch() -> None:
    found = contacts(mill((1, 1, 4), (5, 5, 9), (10, 10, 12)), [])
    assert found == (Contact("pair 5", 1, 5, 100), Contact("pair 5", 5, 10, 100))


def test_a_clean_down_between_them_shuts_the_contact_out() -> None:
    found = contacts(mill((1, 1, 4), (6, 6, 9)), [Clean("pair 5", 5, opened=True)])
    assert found == (Contact("pair 5", 1, 6, 100, cleaned_by=5),)


@pytest.mark.parametrize(
    "clean",
    [
        Clean("pair 5", 5, opened=False),
        Clean("pair 4", 5, opened=True),
        Clean("pair 5", 3, opened=True),
        Clean("pair 5", 4, opened=True),
        Clean("pair 5", 6, opened=True),
        Clean("pair 5", 8, opened=True),
    ],
    ids=["not opened", "another machine", "during the earlier", "at its end", "at the next start", "during the later"],
)
def test_a_clean_down_that_is_not_one_between_them_changes_nothing(clean: Clean) -> None:
    assert contacts(mill((1, 1, 4), (6, 6, 9)), [clean]) == (Contact("pair 5", 1, 6, 100),)


def test_machines_are_apart_and_the_order_of_the_rows_does_not_matter() -> None:
    uses = [*mill((7, 7, 8), (1, 1, 2), machine="sieve"), *mill((3, 3, 4), (1, 1, 2))]
    found = contacts(uses, [Clean("sieve", 5, opened=True)])
    assert found == (Contact("pair 5", 1, 3, 100), Contact("sieve", 1, 7, 100, cleaned_by=5))


def test_runs_that_overlap_touch_both_ways_whatever_was_cleaned_meanwhile() -> None:
    uses = [Use("sieve", 1, 10, 1, 30), Use("sieve", 5, 8, 5, 40)]
    expected = {Contact("sieve", 1, 5, 30), Contact("sieve", 5, 1, 40)}
    assert set(contacts(uses, [Clean("sieve", 6, opened=True)])) == expected


def test_uses_of_one_step_follow_each_other_and_a_shared_step_is_an_overlap() -> None:
    assert contacts(mill((1, 1, 1), (2, 2, 2)), []) == (Contact("pair 5", 1, 2, 100),)
    shared = contacts(mill((1, 1, 3), (2, 3, 4), (5, 5, 6)), [])
    assert {(each.earlier, each.later) for each in shared} == {(1, 2), (2, 1), (2, 5), (1, 5)}


def test_a_use_between_two_others_hides_the_first_from_the_last() -> None:
    found = contacts(mill((1, 1, 2), (3, 3, 4), (5, 5, 6)), [])
    assert (1, 5) not in {(each.earlier, each.later) for each in found}


def test_a_long_run_beside_short_ones_still_touches_what_comes_after_it() -> None:
    found = contacts(mill((1, 1, 100), (2, 2, 3), (50, 50, 60), (101, 101, 110)), [Clean("pair 5", 70, opened=True)])
    pairs = {(each.earlier, each.later): each.cleaned_by for each in found}
    assert pairs == {(1, 2): None, (2, 1): None, (1, 50): None, (50, 1): None, (2, 50): None,
                     (1, 101): None, (50, 101): 70}


def test_a_run_that_comes_back_to_the_machine_touches_what_lay_between_and_never_itself() -> None:
    found = contacts(mill((1, 1, 2), (3, 3, 4), (1, 5, 6), (1, 8, 9)), [])
    assert {(each.earlier, each.later) for each in found} == {(1, 3), (3, 1)}


def test_what_was_left_need_not_be_known() -> None:
    assert contacts(mill((1, 1, 2), (3, 3, 4), left_mg=None), [])[0].bound_mg is None


def test_all_runs_between_two_clean_downs_are_one_group() -> None:
    uses = mill((1, 1, 2), (3, 3, 4), (6, 6, 7), (8, 8, 9), (10, 10, 11))
    assert contact_groups(uses, [Clean("pair 5", 5, opened=True)]) == (("pair 5", (1, 3)), ("pair 5", (6, 8, 10)))


def test_a_clean_down_while_a_long_run_lasts_parts_nothing() -> None:
    uses = mill((1, 1, 100), (2, 2, 3), (50, 50, 60))
    assert contact_groups(uses, [Clean("pair 5", 10, opened=True)]) == (("pair 5", (1, 2, 50)),)


def test_nothing_used_gives_nothing() -> None:
    assert contacts([], [Clean("pair 5", 1, opened=True)]) == ()
    assert contact_groups([], []) == ()


def test_uses_that_cannot_be_are_refused() -> None:
    with pytest.raises(GenealogyError, match="ends at step 2, before it begins at step 3"):
        contacts([Use("pair 5", 3, 2, 3)], [])
    with pytest.raises(GenealogyError, match="left -1 mg on pair 5"):
        contacts([Use("pair 5", 3, 4, 3, -1)], [])


@st.composite
def machine_days(draw: st.DrawFn) -> tuple[list[Use], list[Clean]]:
    """Uses with distinct runs on one machine, and clean-downs; step ids are distinct, as in the book."""
    steps = draw(st.permutations(range(1, 29)))
    count = draw(st.integers(0, 9))
    uses = [Use("m", *sorted(steps[2 * place : 2 * place + 2]), run=place, left_mg=place) for place in range(count)]
    return uses, [Clean("m", step, opened=draw(st.booleans())) for step in steps[2 * count : 2 * count + 5]]


def by_definition(uses: list[Use], cleans: list[Clean]) -> set[Contact]:
    found = set()
    for a in uses:
        for b in uses:
            if a.run == b.run:
                continue
            if a.first_step <= b.last_step and b.first_step <= a.last_step:
                found.add(Contact("m", a.run, b.run, a.left_mg))
            elif a.last_step < b.first_step and not any(
                a.last_step < c.first_step and c.last_step < b.first_step for c in uses
            ):
                between = [c.step for c in cleans if c.opened and a.last_step < c.step < b.first_step]
                found.add(Contact("m", a.run, b.run, a.left_mg, min(between, default=None)))
    return found


@given(machine_days())
def test_contacts_are_what_their_definition_says(day: tuple[list[Use], list[Clean]]) -> None:
    uses, cleans = day
    found = contacts(uses, cleans)
    assert len(set(found)) == len(found)
    assert set(found) == by_definition(uses, cleans)


@given(machine_days())
def test_groups_are_what_standing_contacts_tie_together(day: tuple[list[Use], list[Clean]]) -> None:
    uses, cleans = day
    graph = nx.Graph()
    graph.add_nodes_from(use.run for use in uses)
    graph.add_edges_from((each.earlier, each.later) for each in contacts(uses, cleans) if each.cleaned_by is None)
    assert {frozenset(runs) for _, runs in contact_groups(uses, cleans)} == set(map(frozenset, nx.connected_components(graph)))


def season_of_the_stones() -> tuple[list[Use], list[Clean], dict[int, str]]:
    season: dict[str, Any] = json.loads(SEASON.read_text(encoding="utf-8"))
    uses, cleans, names, step = [], [], {}, 0
    for job in season["jobs"]:
        for pair in range(1, 7):
            count = sum(run["job"] == job["job"] and run["pair"] == pair for run in season["runs"])
            uses.append(Use(f"pair {pair}", step + 1, step + count, step + 1))
            names[step + 1] = f"{job['job']} pair {pair}"
            step += count
        for row in season["cleaning"]:
            if row["after"] == job["job"] and row["recorded"]:
                step += 1
                cleans.append(Clean(f"pair {row['pair']}", step, opened=True))
    return uses, cleans, names


def test_the_season_has_one_contact_and_all_others_are_shut_out() -> None:
    uses, cleans, names = season_of_the_stones()
    found = contacts(uses, cleans)
    assert len(found) == 30
    standing = [(names[each.earlier], names[each.later]) for each in found if each.cleaned_by is None]
    assert standing == [("J26-05 pair 5", "J26-06 pair 5")]
    groups = [runs for _, runs in contact_groups(uses, cleans) if len(runs) > 1]
    assert [[names[run] for run in runs] for runs in groups] == [["J26-05 pair 5", "J26-06 pair 5"]]
