"""Arithmetic of pack numbers: sets of whole numbers kept as ranges, because a series may have a million packs."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


class RecallError(ValueError):
    """Facts that a recall cannot work with: the sentence says which, what is wrong and what to do."""


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """All pack numbers from ``first`` to ``last``, both included."""

    first: int
    last: int

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise RecallError(f"A range of packs runs backwards, from {self.first} to {self.last}: swap the two.")

    @property
    def count(self) -> int:
        return self.last - self.first + 1


Spans = tuple[Span, ...]


def merged(spans: Iterable[Span]) -> Spans:
    """The same numbers in the fewest ranges, ascending; ranges that touch are joined."""
    found: list[Span] = []
    for span in sorted(spans):
        if found and span.first <= found[-1].last + 1:
            found[-1] = Span(found[-1].first, max(found[-1].last, span.last))
        else:
            found.append(span)
    return tuple(found)


def total_count(spans: Iterable[Span]) -> int:
    """How many different numbers the ranges name."""
    return sum(span.count for span in merged(spans))


def intersection(one: Iterable[Span], other: Iterable[Span]) -> Spans:
    """Numbers that are in both."""
    ours, theirs = merged(one), merged(other)
    found: list[Span] = []
    here = there = 0
    while here < len(ours) and there < len(theirs):
        first = max(ours[here].first, theirs[there].first)
        last = min(ours[here].last, theirs[there].last)
        if first <= last:
            found.append(Span(first, last))
        if ours[here].last < theirs[there].last:
            here += 1
        else:
            there += 1
    return tuple(found)


def difference(one: Iterable[Span], other: Iterable[Span]) -> Spans:
    """Numbers that are in ``one`` and not in ``other``."""
    found: list[Span] = []
    taken = merged(other)
    for span in merged(one):
        following = span.first
        for gone in taken[_from(taken, span.first) :]:
            if gone.first > span.last:
                break
            if gone.first > following:
                found.append(Span(following, gone.first - 1))
            following = gone.last + 1
        if following <= span.last:
            found.append(Span(following, span.last))
    return tuple(found)


def gaps(whole: Span, spans: Iterable[Span]) -> Spans:
    """Numbers of ``whole`` that none of the ranges names."""
    return difference((whole,), spans)


def overlaps(spans: Iterable[Span]) -> Spans:
    """Numbers that more than one of the ranges names."""
    found: list[Span] = []
    reached: int | None = None
    for span in sorted(spans):
        if reached is not None and span.first <= reached:
            found.append(Span(span.first, min(span.last, reached)))
        reached = span.last if reached is None else max(reached, span.last)
    return merged(found)


def names(spans: Sequence[Span], number: int) -> bool:
    """Whether ``number`` is in these ranges, which `merged` has put in order."""
    place = bisect_right(spans, number, key=lambda span: span.first) - 1
    return place >= 0 and number <= spans[place].last


def range_words(spans: Iterable[Span]) -> str:
    """The numbers as people write them: "1–360, 401, 500–540"; empty for none."""
    return ", ".join(
        str(span.first) if span.first == span.last else f"{span.first}–{span.last}" for span in merged(spans)
    )


def _from(spans: Spans, number: int) -> int:
    """Place of the first range that ends at ``number`` or later."""
    place = bisect_right(spans, number, key=lambda span: span.first) - 1
    return place if place >= 0 and spans[place].last >= number else place + 1
