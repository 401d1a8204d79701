"""How far contact reaches: the runs that may have come into a run, those it may have gone into, and those shut out.

The bound of a chain of contacts is the smallest on it, because all of the leaf has to pass each of them; chains over
different machines add up, because leaf can take each of them.
"""

from __future__ import annotations

import math
from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass

from lots.trade.lineage import Contact


@dataclass(frozen=True, slots=True)
class Touch:
    """A run at the other end of standing contacts: at most ``bound_mg`` went over (None: nobody knows how much).

    The shortest chain has ``contact_count`` contacts; ``by_way_of`` is the run next to this one on it (the run that was
    asked for, where the two are neighbours) and ``equipment`` the machine on which these two touched.
    """

    run: int
    bound_mg: int | None
    equipment: str
    by_way_of: int
    contact_count: int


def touched_by(run: int, contacts: Iterable[Contact]) -> tuple[Touch, ...]:
    """Earlier runs of which something may be in ``run``, in falling order of id (for a trace back)."""
    return _reach(run, [(each.later, each.earlier, each) for each in contacts if each.cleaned_by is None])


def touches(run: int, contacts: Iterable[Contact]) -> tuple[Touch, ...]:
    """Later runs that may hold something of ``run``, in falling order of id (for a recall)."""
    return _reach(run, [(each.earlier, each.later, each) for each in contacts if each.cleaned_by is None])


def excluded_neighbours(run: int, contacts: Iterable[Contact]) -> tuple[Contact, ...]:
    """Contacts of ``run`` with its neighbours, on either side, that a clean-down shut out (``cleaned_by`` says which).

    A neighbour that reaches ``run`` by another way, on this machine or another, is not shut out and is left out here.
    """
    known = list(contacts)
    before = {touch.run for touch in touched_by(run, known)}
    after = {touch.run for touch in touches(run, known)}
    return tuple(
        each
        for each in known
        if each.cleaned_by is not None
        and ((each.later == run and each.earlier not in before) or (each.earlier == run and each.later not in after))
    )


_Hop = tuple[int, int, Contact]


def _reach(run: int, hops: list[_Hop]) -> tuple[Touch, ...]:
    found = _nearest(run, hops)
    order = [run, *found]
    bounds = _bounds(order, [hop for hop in hops if hop[0] in found or hop[0] == run])
    return tuple(
        Touch(far, None if math.isinf(bounds[far]) else int(bounds[far]), contact.equipment, near, count)
        for far, (near, contact, count) in sorted(found.items(), reverse=True)
    )


def _nearest(run: int, hops: list[_Hop]) -> dict[int, tuple[int, Contact, int]]:
    """Last hop and length of the shortest chain to each run that can be reached, nearest first."""
    outward: defaultdict[int, list[tuple[int, Contact]]] = defaultdict(list)
    for near, far, contact in hops:
        outward[near].append((far, contact))
    found: dict[int, tuple[int, Contact, int]] = {}
    waiting = deque([(run, 0)])
    while waiting:
        near, count = waiting.popleft()
        for far, contact in outward.get(near, ()):
            if far != run and far not in found:
                found[far] = (near, contact, count + 1)
                waiting.append((far, count + 1))
    return found


def _bounds(nearest_first: list[int], hops: list[_Hop]) -> dict[int, float]:
    """Upper bound of the mass that can pass between the first of the runs and each of them.

    With b the bound of one contact and g that of the run at its near end, every gram passes one last contact, so
    g(far) <= sum of min(b, g(near)); nor is it more than all contacts of the run asked for let through. Starting from
    "any amount", each round stays an upper bound and can only fall, so circles (runs that overlap) do no harm; without
    them the first round nearly always settles it.
    """
    into: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    for near, far, contact in hops:
        into[far].append((near, math.inf if contact.bound_mg is None else contact.bound_mg))
    run, *others = nearest_first
    at_run = sum(bound for far in others for near, bound in into[far] if near == run)
    bounds = dict.fromkeys(nearest_first, math.inf)
    for _ in others:
        before = dict(bounds)
        for far in others:
            bounds[far] = min(at_run, sum(min(bound, bounds[near]) for near, bound in into[far]))
        if bounds == before:
            break
    return bounds
