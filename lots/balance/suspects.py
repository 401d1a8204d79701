"""Which single slip would explain what does not add up: every candidate is weighed by how well all that it touches closes.

A candidate's weight is how usual such a slip is, divided by how many free choices its kind had, times the likelihood of all
residuals that it changes. So a slip with one way to happen goes before one with forty, and an explanation that closes two
balances before one that closes one. Nothing is changed here; a person looks at the paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from lots.balance.candidates import candidates
from lots.balance.closure import LOOK_BEYOND
from lots.balance.slips import SlipKind
from lots.balance.suspect_records import Book, Explanation, Finding, Node

#: An explanation is named alone when it has at least this chance among all; at most so many are listed otherwise.
NAMED_FROM, LISTED_MOST = 0.9, 3


def explain(book: Book, beyond: float = LOOK_BEYOND) -> tuple[Finding, ...]:
    """Every fault beyond ``beyond`` with what would explain it, the farthest first.

    An explanation that is unique is taken as if it were true before the next fault is looked at, so that what it explains is
    not told twice. Balances without a scatter are left out.
    """
    nodes = list(book.nodes)
    seen: set[int] = set()
    found: list[Finding] = []
    while True:
        off = [i for i, n in enumerate(nodes) if i not in seen and n.spread_mg > 0 and abs(n.z) > beyond]
        if not off:
            return tuple(found)
        worst = max(off, key=lambda i: abs(nodes[i].z))
        finding, after = _finding(book, nodes, worst, set(off))
        found.append(finding)
        seen |= {worst, *finding.nodes}
        nodes = after


def _finding(book: Book, nodes: list[Node], worst: int, off: set[int]) -> tuple[Finding, list[Node]]:
    ranked = weighed(candidates(book, nodes, worst))
    good = [e for e in ranked if e.kind is not None and e.closes_all]
    unique = bool(good) and ranked[0] is good[0] and good[0].chance_frac >= NAMED_FROM
    if not unique:
        return Finding((worst,), tuple(good[:LISTED_MOST]), unique=False), nodes
    best = good[0]
    touched = tuple(sorted({worst, *(i for i in best.closes if i in off)}))
    return Finding(touched, (best,), unique=True), _taken_as_true(book, nodes, best)


def _taken_as_true(book: Book, nodes: list[Node], best: Explanation) -> list[Node]:
    """The balances as they would stand: those that the explanation touches lie where it says."""
    after = list(nodes)
    reading = next((r for r in book.readings if r.key == best.key), None)
    if reading is not None and best.proposed_mg is not None and best.kind is not SlipKind.OTHER_LOT:
        for touch in reading.touches:
            change = best.proposed_mg - reading.mass_mg
            after[touch.node] = after[touch.node].moved(touch.dry_frac * change, touch.input_frac * change)
        return after
    for i, z in best.closes.items():
        after[i] = after[i].moved((z - after[i].z) * after[i].spread_mg, 0.0)
    return after


def weighed(found: Iterable[Explanation]) -> list[Explanation]:
    """The candidates with their chances, the likeliest first."""
    ranked = sorted(found, key=lambda e: -e.weight_log)
    if not ranked:
        return []
    weights = [math.exp(e.weight_log - ranked[0].weight_log) for e in ranked]
    whole = math.fsum(weights)
    return [replace(e, chance_frac=w / whole) for e, w in zip(ranked, weights, strict=True)]
