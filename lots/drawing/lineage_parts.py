"""Parts of the lineage drawing: words after a row, the band of one tier, the gap between two columns."""

from __future__ import annotations

from dataclasses import dataclass, field

from lots.drawing.lineage_boxes import SMALL
from lots.drawing.lineage_links import Hop, Side
from lots.drawing.lineage_order import Row
from lots.drawing.metrics import longest
from lots.trade.lineage import Box, Ending, Tier

#: Room for the curves of a gap whose arrows are not all level; room of a vertical line beside the boxes; height of a lane.
CURVES = 34.0
CHANNEL = 9.0
LANE = 24.0
_NOTE_PITCH = 18.0


@dataclass(frozen=True, slots=True)
class Note:
    """The words of an ending, wrapped; ``led`` says that they stand level with their box."""

    ending: Ending
    box: Box
    strong: tuple[str, ...]
    plain: tuple[str, ...]
    row: Row
    led: bool

    @property
    def high(self) -> float:
        return _NOTE_PITCH * (len(self.strong) + len(self.plain)) + 4

    @property
    def wide(self) -> float:
        return max(longest(self.strong), longest(self.plain, SMALL))


@dataclass(slots=True)
class Band:
    """One tier: where its boxes begin, how far its rows reach, and the lanes that run below them."""

    tier: Tier
    rows: list[Row]
    reach: float = 0.0
    top: float = 0.0
    lanes: int = 0
    notes: int = 0

    @property
    def lane_top(self) -> float:
        return self.top + self.reach + 10

    @property
    def bottom(self) -> float:
        return self.lane_top + LANE * (self.lanes + self.notes) + 14


@dataclass(slots=True)
class Gap:
    """The room between two columns: a strip for vertical lines, then words, then curves (or curves, then words). It is never
    narrower than ``least``, and keeps ``pad`` beside its words."""

    least: float = 40.0
    pad: float = 18.0
    hops: list[Hop] = field(default_factory=list)
    channels: int = 0
    beside: float = 0.0
    below: float = 0.0
    side: Side = Side.SOURCE
    left: float = 0.0

    @property
    def strip(self) -> float:
        return (6 + CHANNEL * self.channels if self.channels else 0.0) + self.beside

    @property
    def level(self) -> bool:
        return all(abs(h.start.y - h.end.y - h.port) < 0.5 for h in self.hops)

    @property
    def words(self) -> float:
        lines = [w for h in self.hops if h.worded for w in (h.chain.arrow.above, h.chain.arrow.below)]
        return max(longest(tuple(lines), SMALL), self.below)

    @property
    def wide(self) -> float:
        words = self.words + self.pad if self.words else 0.0
        curves = 0.0 if self.level else CURVES
        return self.strip + max(words + curves, self.least)
