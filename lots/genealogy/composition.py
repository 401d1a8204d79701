"""What a step is made of: the share of each harvest in its dry mass, with the unknown as a share of its own.

Losses leave a step at the step's own composition, so the shares of its inputs are the shares of all its outputs.
Nothing is dropped for being small: a key that is present is contained, even where its share is too small for a float.
"""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence

from lots.genealogy.graph import GenealogyError, checked
from lots.trade.lineage import Link

#: Key of the share that no harvest accounts for. Steps are numbered from 1, so no step can have it.
UNKNOWN = 0

#: How far the shares of one composition, or of the inputs of one step, may miss 1 by the rounding of stored floats.
SUM_TOLERANCE = 1e-9

#: What is missing below this is rounding (a thousand additions of doubles); anything above is booked as unknown.
_ROUNDING = 1e-12


def fold(step: int, links: Iterable[Link], harvests: Container[int]) -> Mapping[int, float]:
    """Share of each harvest step in the dry mass of ``step``; the shares sum to 1 within 1e-9.

    The weight of a step is handed to its sources only after every step that takes from it has been seen: ids are
    taken from a heap in falling order, each step once, so the work grows with the links and never with the paths.
    A harvest is an end, whatever links it has. A step without links that is no harvest, and the part of a step that
    its links leave open, go to the key `UNKNOWN`. Links of other parts of the book are passed over.

    Raises GenealogyError for a link that `checked` refuses, a share outside 0 to 1, or shares of one step above 1.
    """
    inputs = _inputs(links)
    weights: defaultdict[int, float] = defaultdict(float, {step: 1.0})
    waiting = [-step]
    shares: defaultdict[int, float] = defaultdict(float)
    while waiting:
        here = -heapq.heappop(waiting)
        weight = weights.pop(here)
        if here in harvests:
            shares[here] += weight
            continue
        for source, share in _whole(here, inputs.get(here, ())):
            if source == UNKNOWN:
                shares[UNKNOWN] += weight * share
                continue
            if source not in weights:
                heapq.heappush(waiting, -source)
            weights[source] += weight * share
    return dict(sorted(shares.items()))


def mix(parts: Sequence[tuple[float, Mapping[int, float]]]) -> dict[int, float]:
    """Composition of one step from its inputs: dry mass of each (any one unit) and the composition that it came with.

    x_k = sum(m_i x_ik) / sum(m_i). An input of no mass adds nothing; a step into which nothing went is unknown.
    Raises GenealogyError for a dry mass below zero or without a value, and for a composition that does not sum to 1.
    """
    taken = [(_dry_mass(mass), complete(shares)) for mass, shares in parts]
    taken = [(mass, shares) for mass, shares in taken if mass > 0]
    if not taken:
        return {UNKNOWN: 1.0}
    amounts: defaultdict[int, list[float]] = defaultdict(list)
    for mass, shares in taken:
        for key, share in shares.items():
            amounts[key].append(mass * share)
    total = math.fsum(amount for each in amounts.values() for amount in each)
    return {key: math.fsum(amounts[key]) / total for key in sorted(amounts)}


def complete(composition: Mapping[int, float]) -> Mapping[int, float]:
    """The composition itself, where its shares sum to 1 within 1e-9 and none is below zero; else GenealogyError."""
    total = math.fsum(composition.values())
    if not abs(total - 1) <= SUM_TOLERANCE or min(composition.values()) < 0:
        raise GenealogyError(
            f"A composition adds up to {total:.9f} instead of 1, or has a share below zero. "
            f"Work it out again from its step."
        )
    return composition


def _inputs(links: Iterable[Link]) -> Mapping[int, list[tuple[int, float]]]:
    inputs: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    for link in map(checked, links):
        if not 0 <= link.share_frac <= 1 + SUM_TOLERANCE:
            raise GenealogyError(
                f"Step {link.step} is said to hold the share {link.share_frac:g} of step {link.source}; "
                f"a share lies between 0 and 1. Work out the links of step {link.step} again."
            )
        if link.share_frac > 0:
            inputs[link.step].append((link.source, link.share_frac))
    return inputs


def _whole(step: int, inputs: Sequence[tuple[int, float]]) -> list[tuple[int, float]]:
    total = math.fsum(share for _, share in inputs)
    if total > 1 + SUM_TOLERANCE:
        raise GenealogyError(
            f"The inputs of step {step} add up to {total:.9f} of it, more than the whole. "
            f"Work out the links of step {step} again."
        )
    if total < 1 - _ROUNDING:
        return [*inputs, (UNKNOWN, 1 - total)]
    return [(source, share / total) for source, share in inputs]


def _dry_mass(mass: float) -> float:
    if not 0 <= mass < math.inf:
        raise GenealogyError(f"A dry mass of {mass:g} went into the mix; a mass is zero or more. Look at that reading.")
    return mass
