from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.recall.ranges import (
    RecallError,
    Span,
    difference,
    gaps,
    intersection,
    merged,
    names,
    overlaps,
    range_words,
    total_count,
)

spans_of = st.lists(
    st.tuples(st.integers(0, 60), st.integers(0, 12)).map(lambda pair: Span(pair[0], pair[0] + pair[1])), max_size=8
)


def numbers(spans: list[Span] | tuple[Span, ...]) -> set[int]:
    return {number for span in spans for number in range(span.first, span.last + 1)}


def fewest(spans: tuple[Span, ...]) -> bool:
    return all(one.last + 1 < other.first for one, other in pairwise(spans))


@given(spans_of)
def test_merging_keeps_the_numbers_in_the_fewest_ranges(spans: list[Span]) -> None:
    assert numbers(merged(spans)) == numbers(spans)
    assert fewest(merged(spans))
    assert total_count(spans) == len(numbers(spans))


@given(spans_of, spans_of)
def test_intersection_and_difference_are_those_of_sets(one: list[Span], other: list[Span]) -> None:
    assert numbers(intersection(one, other)) == numbers(one) & numbers(other)
    assert numbers(difference(one, other)) == numbers(one) - numbers(other)
    assert fewest(intersection(one, other))
    assert fewest(difference(one, other))


@given(spans_of, st.integers(0, 40), st.integers(0, 40))
def test_gaps_are_what_nobody_names(spans: list[Span], first: int, length: int) -> None:
    whole = Span(first, first + length)
    assert numbers(gaps(whole, spans)) == numbers([whole]) - numbers(spans)


@given(spans_of)
def test_overlaps_are_the_numbers_named_more_than_once(spans: list[Span]) -> None:
    counted = [number for span in spans for number in range(span.first, span.last + 1)]
    assert numbers(overlaps(spans)) == {number for number in counted if counted.count(number) > 1}
    assert fewest(overlaps(spans))


@given(spans_of, st.integers(-2, 80))
def test_looking_up_one_number(spans: list[Span], number: int) -> None:
    assert names(merged(spans), number) == (number in numbers(spans))


def test_a_million_packs_cost_no_more_than_ten() -> None:
    whole = Span(1, 1_000_000)
    assert gaps(whole, [Span(1, 499_999), Span(500_001, 1_000_000)]) == (Span(500_000, 500_000),)
    assert whole.count == 1_000_000


def test_ranges_in_words() -> None:
    assert range_words([Span(500, 540), Span(1, 300), Span(301, 360), Span(401, 401)]) == "1–360, 401, 500–540"
    assert range_words([]) == ""


def test_a_range_that_runs_backwards_is_refused() -> None:
    with pytest.raises(RecallError, match="from 9 to 8"):
        Span(9, 8)
