from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.graph import GenealogyError
from lots.genealogy.reach import reach_back, reach_forward
from lots.trade.lineage import Contact, Link

# Lot 1 is milled in run 3 (steps 3 and 4), lot 2 in run 5 (steps 5 and 6) on the same pair, lot 7 in run 9 after a
# clean-down (step 8); 10, 11 and 12 are the sieve passes of the three.
LINKS = [Link(3, 1, 1.0), Link(4, 3, 1.0), Link(5, 2, 1.0), Link(6, 5, 1.0), Link(9, 7, 1.0),
         Link(10, 4, 1.0), Link(11, 6, 1.0), Link(12, 9, 1.0)]
CONTACTS = (Contact("pair 5", 3, 5, 310), Contact("pair 5", 5, 9, 50, cleaned_by=8))
RUN_OF = {3: 3, 4: 3, 5: 5, 6: 5}


def test_forward_tells_contained_touched_and_shut_out_apart() -> None:
    reach = reach_forward(LINKS, CONTACTS, [1], RUN_OF)
    assert reach.contains == {1, 3, 4, 10}
    assert reach.may_have_touched == {5, 6, 11}
    assert reach.shut_out == (CONTACTS[1],)


def test_back_takes_the_same_ways_the_other_way_round() -> None:
    reach = reach_back(LINKS, CONTACTS, [11], RUN_OF)
    assert reach.contains == {11, 6, 5, 2}
    assert reach.may_have_touched == {1, 3, 4}
    assert reach.shut_out == ()
    after_the_clean_down = reach_back(LINKS, CONTACTS, [12], RUN_OF)
    assert after_the_clean_down.may_have_touched == frozenset()
    assert after_the_clean_down.shut_out == (CONTACTS[1],)


def test_contact_and_flow_take_turns() -> None:
    # Run 2 touches run 3, whose powder 4 is sieved in run 5, which touches run 6, packed in 7.
    links = [Link(2, 1, 1.0), Link(4, 3, 1.0), Link(5, 4, 1.0), Link(7, 6, 1.0)]
    touching = [Contact("pair 1", 2, 3, None), Contact("sieve", 5, 6, None)]
    reach = reach_forward(links, touching, [1], {})
    assert (reach.contains, reach.may_have_touched) == ({1, 2}, {3, 4, 5, 6, 7})
    assert reach_back(links, touching, [7], {}).may_have_touched == {1, 2, 3, 4, 5}


def test_a_recorded_flow_outweighs_a_contact() -> None:
    reach = reach_forward([Link(2, 1, 1.0)], [Contact("pair 1", 1, 2, 5)], [1], {})
    assert (reach.contains, reach.may_have_touched) == ({1, 2}, frozenset())


def test_a_link_that_cannot_be_is_refused() -> None:
    with pytest.raises(GenealogyError, match="later"):
        reach_forward([Link(2, 3, 1.0)], [], [2], {})


@given(
    st.sets(st.tuples(st.integers(1, 12), st.integers(1, 12)).filter(lambda pair: pair[0] < pair[1]), max_size=18),
    st.lists(st.tuples(st.integers(1, 12), st.integers(1, 12), st.booleans()), max_size=8),
    st.integers(1, 12),
    st.integers(1, 12),
)
def test_back_and_forward_mirror_each_other(
    pairs: set[tuple[int, int]], touching: list[tuple[int, int, bool]], here: int, there: int
) -> None:
    links = [Link(step, source, 1.0) for source, step in pairs]
    found = [Contact("m", a, b, None, 99 if clean else None) for a, b, clean in touching if a != b]
    ahead, back = reach_forward(links, found, [here], {}), reach_back(links, found, [there], {})
    assert (there in ahead.contains) == (here in back.contains)
    assert (there in ahead.contains | ahead.may_have_touched) == (here in back.contains | back.may_have_touched)
