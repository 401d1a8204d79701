"""The graph of steps: everything before a step and everything after it, found as sets of steps and never as paths.

Step ids rise with time, so what goes into a step always carries a smaller id than the step: the order of ids is a
topological order, and a loop cannot be written down. Paths are never walked, because their number explodes once
rework branches; sets stay as large as the history itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from lots.trade.lineage import Link


class GenealogyError(ValueError):
    """A history that cannot be: the sentence says which step, what is wrong and what to do."""


def checked(link: Link) -> Link:
    """The link itself, where its source lies below its step.

    Raises GenealogyError for a source that is not earlier than its step, and for an id below 1.
    """
    if link.source < 1:
        raise GenealogyError(f"Step {link.step} takes from step {link.source}, but steps are numbered from 1.")
    if link.source >= link.step:
        raise GenealogyError(
            f"Step {link.step} takes from step {link.source}, which was written down later or at the same time. "
            f"A step can only take from an earlier one: look up both in the lot book."
        )
    return link


def ancestors(links: Iterable[Link], step: int) -> tuple[int, ...]:
    """Ids of all steps whose outputs are in ``step``, ascending, without ``step`` itself.

    ``links`` may hold more of the book than is needed. Raises GenealogyError as `checked` does.
    """
    return ancestors_of(links, (step,))


def descendants(links: Iterable[Link], step: int) -> tuple[int, ...]:
    """Ids of all steps that hold something of ``step``, ascending, without ``step`` itself.

    ``links`` may hold more of the book than is needed. Raises GenealogyError as `checked` does.
    """
    return descendants_of(links, (step,))


def ancestors_of(links: Iterable[Link], steps: Iterable[int]) -> tuple[int, ...]:
    """Ids of all steps before any of ``steps``, ascending; a start is named only where it is before another."""
    sources: defaultdict[int, list[int]] = defaultdict(list)
    for link in map(checked, links):
        sources[link.step].append(link.source)
    return _reached(sources, steps)


def descendants_of(links: Iterable[Link], steps: Iterable[int]) -> tuple[int, ...]:
    """Ids of all steps after any of ``steps``, ascending; a start is named only where it is after another."""
    takers: defaultdict[int, list[int]] = defaultdict(list)
    for link in map(checked, links):
        takers[link.source].append(link.step)
    return _reached(takers, steps)


def _reached(neighbours: Mapping[int, Iterable[int]], starts: Iterable[int]) -> tuple[int, ...]:
    found: set[int] = set()
    waiting = list(starts)
    while waiting:
        fresh = set(neighbours.get(waiting.pop(), ())) - found
        found |= fresh
        waiting.extend(fresh)
    return tuple(sorted(found))
