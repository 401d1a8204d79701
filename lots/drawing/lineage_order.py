"""Rows of the lineage drawing: in which order things of one tier stand below each other, and at which height.

Layered drawing in the manner of Sugiyama, Tagawa and Toda (1981): an arrow over several columns gets a place of its own in
each of them, orders are improved by barycentres, then heights are relaxed towards those of the neighbours.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

SEPARATION = 10.0
_SWEEPS = 4
_RELAXATIONS = 120
#: How much more a neighbour counts where one thing follows one other: such rows should run level.
_LEVEL = 12.0


@dataclass(slots=True, eq=False)
class Row:
    """Something that takes a place of its own in one or several columns, at one height ``y`` (its middle)."""

    index: int
    heights: dict[int, float]
    y: float = 0.0
    before: list[Row] = field(default_factory=list)
    after: list[Row] = field(default_factory=list)


def _columns(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        for column in row.heights:
            found.setdefault(column, []).append(row)
    return found


def _apart(upper: Row, lower: Row, column: int) -> float:
    return (upper.heights[column] + lower.heights[column]) / 2 + SEPARATION


def _mean(rows: list[Row], otherwise: float) -> float:
    return sum(r.y for r in rows) / len(rows) if rows else otherwise


def _settle(column: int, rows: list[Row], wishes: dict[int, float]) -> None:
    """Puts the rows of one column in the order of their wishes, clear of each other, as near to the wishes as that allows."""
    order = sorted(rows, key=lambda r: (wishes[r.index], r.index))
    floor = float("-inf")
    for i, row in enumerate(order):
        row.y = max(wishes[row.index], floor)
        floor = row.y + (_apart(row, order[i + 1], column) if i + 1 < len(order) else 0.0)
    shift = sum(wishes[r.index] - r.y for r in order) / len(order)
    for row in order:
        row.y += shift


def _sweep(columns: dict[int, list[Row]]) -> None:
    for column in sorted(columns):
        _settle(column, columns[column], {r.index: _mean(r.before, r.y) for r in columns[column]})
    for column in sorted(columns, reverse=True):
        _settle(column, columns[column], {r.index: _mean(r.after, r.y) for r in columns[column]})


def _compact(order: list[Row]) -> None:
    """As high as everything can stand in this order, from the top."""
    skyline: dict[int, float] = {}
    for row in order:
        row.y = max(skyline.get(c, 0.0) + high / 2 for c, high in row.heights.items())
        skyline |= {c: row.y + high / 2 + SEPARATION for c, high in row.heights.items()}


def _bounds(row: Row, columns: dict[int, list[Row]]) -> tuple[float, float]:
    """Between which heights a row may move without changing the order of any column."""
    low, high = float("-inf"), float("inf")
    for column in row.heights:
        stack = columns[column]
        at = stack.index(row)
        if at > 0:
            low = max(low, stack[at - 1].y + _apart(stack[at - 1], row, column))
        if at + 1 < len(stack):
            high = min(high, stack[at + 1].y - _apart(row, stack[at + 1], column))
    return low, high


def _pull(row: Row) -> float:
    """Where the neighbours of a row would like it to be."""
    weights = [(r.y, _LEVEL if len(row.before) == 1 == len(r.after) else 1.0) for r in row.before]
    weights += [(r.y, _LEVEL if len(row.after) == 1 == len(r.before) else 1.0) for r in row.after]
    total = sum(w for _, w in weights)
    return sum(y * w for y, w in weights) / total if total else row.y


def _relax(order: list[Row], columns: dict[int, list[Row]]) -> None:
    for turn in range(_RELAXATIONS):
        for row in order if turn % 2 else reversed(order):
            low, high = _bounds(row, columns)
            row.y = max(low, min(high, _pull(row)))


def _straighten(order: list[Row], columns: dict[int, list[Row]]) -> None:
    """Arrows that are nearly level become level where there is room."""
    for row in sorted(order, key=lambda r: min(r.heights)):
        if len(row.before) == 1 and 0 < abs(row.before[0].y - row.y) < 12:
            low, high = _bounds(row, columns)
            row.y = max(low, min(high, row.before[0].y))


def arrange(rows: list[Row]) -> float:
    """Gives every row its height, the uppermost edge at 0. Returns how far down the rows reach."""
    if not rows:
        return 0.0
    _compact(rows)
    columns = _columns(rows)
    for _ in range(_SWEEPS):
        _sweep(columns)
    order = sorted(rows, key=lambda r: (r.y, r.index))
    columns = _columns(order)
    _compact(order)
    _relax(order, columns)
    _straighten(order, columns)
    top = min(r.y - max(r.heights.values()) / 2 for r in rows)
    for row in rows:
        row.y -= top
    return max(r.y + max(r.heights.values()) / 2 for r in rows)
