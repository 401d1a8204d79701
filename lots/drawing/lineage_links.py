"""Arrows of the lineage drawing sorted by how they run: along their tier from column to column, or around the boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from lots.drawing.lineage_order import Row
from lots.trade.lineage import Arrow, Box, LineageSheet

#: Height that an arrow with words takes: one line above it, one below (drawing units).
WORDS_HIGH = 42.0
BARE_HIGH = 12.0


class Side(StrEnum):
    """On which side of a gap its arrows carry their words: where each has a height of its own."""

    SOURCE = "source"
    TARGET = "target"
    PORTS = "ports"


@dataclass(slots=True, eq=False)
class Chain:
    """An arrow that runs along its tier; ``lane`` is its own row in the columns that it passes, ``port`` shifts its end from
    the middle of the box that it comes to."""

    arrow: Arrow
    source: Box
    target: Box
    lane: Row | None = None
    port: float = 0.0

    @property
    def worded(self) -> bool:
        return bool(self.arrow.above or self.arrow.below)


@dataclass(slots=True, eq=False)
class Hop:
    """One arrow between two neighbouring columns, from row ``start`` to row ``end``."""

    chain: Chain
    start: Row
    end: Row
    last: bool

    @property
    def port(self) -> float:
        return self.chain.port if self.last else 0.0

    @property
    def worded(self) -> bool:
        return self.last and self.chain.worded


@dataclass(frozen=True, slots=True)
class Around:
    """An arrow that leaves its tier, its direction or its column, and so runs around the boxes."""

    arrow: Arrow
    source: Box
    target: Box

    @property
    def words(self) -> str:
        return ", ".join(w for w in (self.arrow.above, self.arrow.below) if w)


@dataclass(slots=True)
class Links:
    """All arrows of a sheet by the way they run."""

    chains: list[Chain] = field(default_factory=list)
    around: list[Around] = field(default_factory=list)


def links(sheet: LineageSheet) -> Links:
    """Sorts the arrows. Raises ValueError when an arrow names a box that is not on the sheet, or only one box."""
    boxes, found = {b.key: b for b in sheet.boxes}, Links()
    for arrow in sheet.arrows:
        if arrow.source not in boxes or arrow.target not in boxes or arrow.source == arrow.target:
            raise ValueError(f"The arrow from {arrow.source!r} to {arrow.target!r} does not join two boxes of the sheet.")
        source, target = boxes[arrow.source], boxes[arrow.target]
        if source.tier == target.tier and source.column < target.column:
            found.chains.append(Chain(arrow, source, target))
        else:
            found.around.append(Around(arrow, source, target))
    return found


def hops(chain: Chain, rows: dict[str, Row]) -> list[tuple[int, Hop]]:
    """The hops of a chain with the column that each leaves."""
    stops = [rows[chain.source.key], *([chain.lane] if chain.lane else []), rows[chain.target.key]]
    found = []
    for column in range(chain.source.column, chain.target.column):
        start = stops[0] if column == chain.source.column else stops[1]
        last = column + 1 == chain.target.column
        found.append((column, Hop(chain, start, stops[-1] if last else stops[1], last)))
    return found


def side_of(gap: Sequence[Hop]) -> Side:
    """The side on which every arrow with words has a height of its own."""
    outs, ins = Counter(id(h.start) for h in gap), Counter(id(h.end) for h in gap)
    worded = [h for h in gap if h.worded]
    if all(outs[id(h.start)] == 1 for h in worded):
        return Side.SOURCE
    return Side.TARGET if all(ins[id(h.end)] == 1 for h in worded) else Side.PORTS


def ports_high(sheet: LineageSheet, found: Links) -> dict[str, float]:
    """How high a box must be at least so that its incoming arrows can each have a height of their own."""
    dummies = {b.key: Row(i, {b.column: 0}) for i, b in enumerate(sheet.boxes)}
    gaps: dict[int, list[Hop]] = {}
    for chain in found.chains:
        chain.lane = Row(0, {}) if chain.target.column > chain.source.column + 1 else None
        for column, hop in hops(chain, dummies):
            gaps.setdefault(column, []).append(hop)
    high: dict[str, float] = {}
    for gap in gaps.values():
        if side_of(gap) is Side.PORTS:
            for key, hop_count in Counter(h.chain.target.key for h in gap if h.last).items():
                high[key] = WORDS_HIGH * hop_count
    for arrow in found.around:
        if arrow.target.column != arrow.source.column:
            high[arrow.target.key] = max(high.get(arrow.target.key, 0.0) + 30, 78.0)
    return high


def set_ports(gap: Sequence[Hop]) -> None:
    """Spreads the incoming arrows of each box over its side, in the order of where they come from."""
    by_end: dict[int, list[Hop]] = {}
    for hop in gap:
        if hop.last:
            by_end.setdefault(id(hop.end), []).append(hop)
    for ending in by_end.values():
        ending.sort(key=lambda h: h.start.y)
        for i, hop in enumerate(ending):
            hop.chain.port = (i - (len(ending) - 1) / 2) * WORDS_HIGH
