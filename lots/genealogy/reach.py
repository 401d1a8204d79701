"""Everything that a set of steps reaches, by recorded flow and by contact, told apart in the three tiers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lots.genealogy.graph import ancestors_of, checked, descendants_of
from lots.trade.lineage import Contact, Link


@dataclass(frozen=True, slots=True)
class Reach:
    """Steps reached from a start.

    ``contains``: the start itself and what recorded flow ties to it. ``may_have_touched``: what only contact, or flow
    after a contact, ties to it. ``shut_out``: contacts that a clean-down excluded, one end of which was reached while
    the other was not.
    """

    contains: frozenset[int]
    may_have_touched: frozenset[int]
    shut_out: tuple[Contact, ...]


def reach_forward(
    links: Iterable[Link], contacts: Iterable[Contact], starts: Iterable[int], run_of: Mapping[int, int]
) -> Reach:
    """What may hold something of ``starts`` (for a recall).

    ``run_of`` gives the root step of the run to which a step belongs; a step that is not in it is its own run. Leaf
    that comes into a run by contact may be in every step of it. Raises GenealogyError for a link that cannot be.
    """
    known, begun = list(links), list(starts)
    hops = [(each.source, each.step) for each in map(checked, known)]
    ways = [(each.earlier, each.later, each) for each in contacts]
    return _reach(hops, ways, {*begun, *descendants_of(known, begun)}, run_of)


def reach_back(
    links: Iterable[Link], contacts: Iterable[Contact], starts: Iterable[int], run_of: Mapping[int, int]
) -> Reach:
    """What may be in ``starts`` (for a trace back). Arguments and errors are those of `reach_forward`."""
    known, begun = list(links), list(starts)
    hops = [(each.step, each.source) for each in map(checked, known)]
    ways = [(each.later, each.earlier, each) for each in contacts]
    return _reach(hops, ways, {*begun, *ancestors_of(known, begun)}, run_of)


def _reach(
    hops: list[tuple[int, int]], ways: list[tuple[int, int, Contact]], contains: set[int], run_of: Mapping[int, int]
) -> Reach:
    next_steps: defaultdict[int, set[int]] = defaultdict(set)
    for near, far in hops:
        next_steps[near].add(far)
    next_runs: defaultdict[int, set[int]] = defaultdict(set)
    for near, far, contact in ways:
        if contact.cleaned_by is None:
            next_runs[near].add(far)
    members: defaultdict[int, set[int]] = defaultdict(set)
    for step, run in run_of.items():
        members[run].add(step)
    found, waiting = set(contains), list(contains)
    while waiting:
        step = waiting.pop()
        touched = (members.get(run, set()) | {run} for run in next_runs.get(run_of.get(step, step), ()))
        fresh = next_steps.get(step, set()).union(*touched) - found
        found |= fresh
        waiting.extend(fresh)
    runs = {run_of.get(step, step) for step in found}
    shut_out = tuple(contact for near, far, contact in ways if contact.cleaned_by and near in runs and far not in runs)
    return Reach(frozenset(contains), frozenset(found - contains), shut_out)
