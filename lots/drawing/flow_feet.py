"""Where branches of the wide flow drawing end. From right to left each foot is put as high as its words can stand clear of
all that is already there, so that no words cover a stub, a ribbon or other words, whatever the season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lots.drawing.flow_columns import Columns, is_broad, starts
from lots.drawing.flow_slices import Plan, Slice, Station
from lots.drawing.labels import Label, label_for, natural_width
from lots.drawing.ribbons import TURN

#: Something that words must stay clear of: left, right, lower end.
Block = tuple[float, float, float]
_CLEAR = 10.0


@dataclass(frozen=True, slots=True)
class Stub:
    """A branch before its foot is placed: from ``bar`` with its upper edge at ``top``, down at ``left``; ``rises`` to a bar."""

    piece: Slice
    bar: float
    top: float
    left: float
    rises: bool = False

    @property
    def least_foot(self) -> float:
        return self.top + self.piece.drawn_px + TURN + 30

    @property
    def right(self) -> float:
        return self.left + self.piece.drawn_px


@dataclass(frozen=True, slots=True)
class Foot:
    """A branch with its lower end and its words."""

    stub: Stub
    foot: float
    label: Label

    @property
    def bottom(self) -> float:
        return max(self.foot, self.label.bounds[3])

    @property
    def block(self) -> Block:
        return (self.stub.left, max(self.stub.right, self.label.bounds[2]), self.bottom)


def leaving_stubs(station: Station, bar: float, top: float) -> list[Stub]:
    """Branches of one station: the lowest slice turns down first; a thin one keeps the lower edge of its true slice."""
    stubs, lower = [], top + station.out_px
    for piece, start in zip(station.leaving, starts(station), strict=True):
        stubs.append(Stub(piece, bar, lower - piece.drawn_px, bar + start))
        lower -= piece.true_px
    return stubs


def waiting_stub(station: Station, next_bar: float, top: float) -> list[Stub]:
    """What is not taken on: it leaves the ribbon shortly before the next bar."""
    piece = station.waiting
    if piece is None:
        return []
    left = next_bar - piece.drawn_px - 12
    return [Stub(piece, left - TURN - 2, top + station.main_px - piece.drawn_px, left)]


def stock_stub(piece: Slice | None, main_px: float, bar: float, top: float) -> list[Stub]:
    """What joins from elsewhere: it rises to the bar below what comes from the stage before."""
    if piece is None:
        return []
    return [Stub(piece, bar, top + main_px, bar - 2 * TURN - piece.drawn_px - 2, rises=True)]


def stubs(plan: Plan, places: Columns, top: float) -> list[Stub]:
    """All branches from left to right."""
    found: list[Stub] = []
    before = 0.0
    for i, (station, bar) in enumerate(zip(plan.stations, places.bars, strict=True)):
        found += stock_stub(station.stock, before, bar, top)
        found += leaving_stubs(station, bar, top)
        if i + 1 < len(plan.stations):
            found += waiting_stub(station, places.bars[i + 1], top)
        before = station.main_px
    return sorted(found, key=lambda s: s.left)


def ribbon_blocks(plan: Plan, places: Columns, top: float) -> list[Block]:
    """Ribbons and bars as far down as they reach, with the turn of the lowest branch."""
    edges = [0.0, *places.bars, places.width]
    outs = [plan.source.true_px if plan.source else 0.0, *(s.main_px for s in plan.stations)]
    blocks = [(a, b, top + px) for a, b, px in zip(edges, edges[1:], outs, strict=False)]
    for station, bar in zip(plan.stations, places.bars, strict=True):
        blocks.append((bar - 3, bar + 3, top + max(station.out_px, station.input_px) + 5))
        blocks += [(bar, bar + x, top + station.out_px + TURN) for x in starts(station)[:1]]
    return blocks


def _floor(blocks: Sequence[Block], left: float, right: float) -> float:
    """The lowest end of all blocks between ``left`` and ``right``."""
    return max((low for a, b, low in blocks if a < right and b > left), default=0.0)


def _below(stub: Stub, blocks: Sequence[Block], width: float) -> Foot:
    """A broad branch: words below its foot."""
    room = min(200.0, width - stub.left - 2)
    label = label_for(stub.piece, stub.left, 0, room)
    floor = _floor(blocks, stub.left - 4, max(stub.right, label.bounds[2]) + 8)
    foot = max(stub.least_foot, floor + _CLEAR - 4)
    return Foot(stub, foot, label_for(stub.piece, stub.left, foot + 5, room))


def _beside(stub: Stub, blocks: Sequence[Block], room: float) -> Foot:
    """A narrow branch: words to the right of its foot, ending where it ends."""
    left = stub.right + 9
    label = label_for(stub.piece, left, 0, room)
    floor = _floor(blocks, left - 4, label.bounds[2] + 8)
    foot = max(stub.least_foot, floor + _CLEAR + label.high)
    return Foot(stub, foot, label_for(stub.piece, left, foot - label.high, room))


def _rooms(stub: Stub, feet: Sequence[Foot], width: float) -> list[float]:
    """Widths that the words may take: all they like, or only as far as the next branch to the right."""
    left = stub.right + 9
    wish = min(natural_width(stub.piece), width - left - 2)
    nearest = min((f.stub.left for f in feet if f.stub.left > left), default=width)
    narrow = nearest - left - 14
    return [wish, narrow] if 84 <= narrow < wish else [wish]


def feet(found: Sequence[Stub], blocks: list[Block], width: float) -> list[Foot]:
    """Every branch with its foot and words, from right to left."""
    placed: list[Foot] = []
    for stub in reversed(found):
        taken = blocks + [f.block for f in placed]
        if is_broad(stub.piece):
            placed.append(_below(stub, taken, width))
        else:
            tries = [_beside(stub, taken, room) for room in _rooms(stub, placed, width)]
            placed.append(min(tries, key=lambda f: f.foot + f.label.high / 2))
    return placed
