"""The balance of a period and product group: what stood there, came in, was made, went on, went out, was lost, stands there.

Everything is dry mass, so that water that dries away is no loss. A line of the book becomes one or more *postings*; every
figure is a sum of postings and can be opened into them. Of each group (material and state of certification apart):

    opening + received + made = used + out + downgraded + samples + lost + own use + closing + unexplained

``unexplained`` is what is left over, positive where mass is missing: of each closed step what went in less what came out
and was named, of each lot what counts found, and what a moisture that changed on the shelf makes. It is worked out line by
line; that the equation then holds is a test, not a definition. Source of the columns: Delegated Regulation (EU) 2021/771,
article 1(5).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

Key = tuple[str, str]
GROUPS = ("fresh leaf", "crude leaf", "refined leaf", "powder", "packed tea", "by-products")
STATES = ("organic", "in conversion", "conventional")
_OF_CLASS = {"fresh": "fresh leaf", "crude": "crude leaf", "refined": "refined leaf", "powder": "powder"}
_PACKED = ("packed", "retained")


class Column(StrEnum):
    """The lines of a period balance, in order of print."""

    OPENING = "opening"
    RECEIVED = "received"
    MADE = "made"
    USED = "used"
    OUT = "out"
    DOWNGRADED = "downgraded"
    SAMPLES = "samples"
    LOST = "lost"
    OWN_USE = "own use"
    CLOSING = "closing"
    UNEXPLAINED = "unexplained"


IN_SIDE = (Column.OPENING, Column.RECEIVED, Column.MADE)
OUT_SIDE = tuple(column for column in Column if column not in IN_SIDE)


@dataclass(frozen=True, slots=True)
class LotFacts:
    """A lot in this balance: its group ("" where it is no leaf), its state, and the moisture at which it was opened."""

    group: str
    state: str
    moisture_frac: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the book. ``run`` is the first step of the run; ``kind`` is in, out, lost or difference; ``lot_id`` None on
    a loss. ``at`` is when its step happened (a correction counts where the step counts that it corrects)."""

    step: int
    run: int
    at: dt.datetime
    stage: str
    part: str
    kind: str
    role: str
    lot_id: int | None
    mass_mg: int
    moisture_frac: float

    @property
    def dry_mg(self) -> float:
        """Its dry mass; where nobody knows the moisture it is summed as read."""
        return self.mass_mg * (1.0 - self.moisture_frac)


@dataclass(frozen=True, slots=True)
class Posting:
    """What one line of the book gives to one figure. ``read_mg`` is None where nothing was weighed."""

    key: Key
    column: Column
    cause: str
    dry_mg: float
    read_mg: float | None
    step: int | None
    lot_id: int | None
    at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Book:
    """What a balance is made of: every line up to the end of the period, the lots, and when each run was closed (a run that
    lasts and is not in ``closed`` still holds what went in; every other step is closed at once)."""

    lines: Sequence[Line]
    lots: Mapping[int, LotFacts]
    lasting: frozenset[int]
    closed: Mapping[int, dt.datetime]


def group_of(material: str, moisture_class: str, *, by_product: bool = False) -> str:
    """Return the product group of a material, "" for what is no tea (packaging)."""
    if material.startswith(_PACKED):
        return "packed tea"
    return "by-products" if by_product and moisture_class in _OF_CLASS else _OF_CLASS.get(moisture_class, "")


def worst_state(states: Iterable[str]) -> str:
    """Return the state of leaf from plots of several states: the lowest. Of nothing known it is conventional."""
    return max(states, key=STATES.index, default=STATES[-1])


def fold_states(own: Mapping[int, str], lowered: Mapping[int, str], links: Iterable[tuple[int, int]]) -> dict[int, str]:
    """Return the state of leaf by step: the lowest of its sources, and of what it was lowered to.

    ``own`` are the states of steps at which leaf of a known state came in, ``links`` pairs of step and source in order of the
    step (a source is earlier than its step). A source of no known state makes everything of it conventional.
    """
    found = dict(own)
    for step, source in links:
        state = found.get(source, STATES[-1])
        found[step] = worst_state([found.get(step, state), state, lowered.get(step, state)])
    return found


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the balance: dry mass, the same as read (None where nothing was weighed), and by cause."""

    dry_mg: float
    read_mg: float | None
    causes: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The balance of one product group in one state."""

    group: str
    state: str
    figures: Mapping[Column, Figure]

    def dry_mg(self, column: Column) -> float:
        """Return one figure, 0 where nothing was posted."""
        figure = self.figures.get(column)
        return figure.dry_mg if figure else 0.0

    @property
    def rest_mg(self) -> float:
        """What is left between both sides of the equation; 0 but for rounding."""
        return sum(map(self.dry_mg, IN_SIDE)) - sum(map(self.dry_mg, OUT_SIDE))


def sheets(found: Iterable[Posting]) -> list[Sheet]:
    """Return the balances that postings make, by state, then by group in the order of the work."""
    kept: dict[Key, dict[Column, list[Posting]]] = defaultdict(lambda: defaultdict(list))
    for posting in found:
        kept[posting.key][posting.column].append(posting)
    order = sorted(kept, key=lambda key: (STATES.index(key[1]), GROUPS.index(key[0])))
    return [Sheet(*key, {column: _figure(kept[key][column]) for column in Column if column in kept[key]}) for key in order]


def _figure(some: Sequence[Posting]) -> Figure:
    causes: dict[str, float] = defaultdict(float)
    for posting in some:
        causes[posting.cause] += posting.dry_mg
    weighed = [p.read_mg for p in some if p.read_mg is not None]
    return Figure(sum(p.dry_mg for p in some), sum(weighed) if weighed else None, tuple(sorted(causes.items())))
