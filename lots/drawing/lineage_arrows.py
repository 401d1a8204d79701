"""Arrows of the lineage drawing as markup: solid, long dashes, or dots that end at a bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lots.drawing.lineage_around import Drawn
from lots.drawing.lineage_boxes import SMALL
from lots.drawing.lineage_layout import Layout, note_left
from lots.drawing.lineage_links import Chain, Hop, Side
from lots.drawing.lineage_parts import Gap, Note
from lots.drawing.metrics import width
from lots.drawing.ribbons import d
from lots.drawing.svg import path, text
from lots.trade.lineage import Tier

STROKES = {Tier.CONTAINS: "edge", Tier.TOUCHED: "edge may", Tier.EXCLUDED: "edge out"}
_HEADS = {"right": "l-9 -4.5v9z", "left": "l9 -4.5v9z", "up": "l-5 10h10z", "down": "l-5 -10h10z"}
_SHORT = {"right": (-3.0, 0.0), "left": (3.0, 0.0), "up": (0.0, 5.0), "down": (0.0, -5.0)}


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of the drawing with the room that it takes (left, top, right, bottom), so that pages can be cut; what is
    ``whole`` stands on a page altogether or not at all."""

    bounds: tuple[float, float, float, float]
    svg: str
    whole: bool = False


def head(x: float, y: float, direction: str) -> str:
    """An arrow head with its point at (x, y)."""
    return path(d("M", x, y) + _HEADS[direction], "ink")


def stop_bar(x: float, y: float) -> str:
    """The bar at which dots end."""
    return path(d("M", x, y - 11, "V", y + 11), "ln")


def _hop_ends(layout: Layout, column: int, hop: Hop) -> tuple[float, float, float, float]:
    """Left, right and both heights of a hop."""
    gap, band = layout.gaps[column + 1], layout.band(hop.chain.source)
    return gap.left, layout.lefts[column + 1], band.top + hop.start.y, band.top + hop.end.y + hop.port


def _curve(x0: float, y0: float, x1: float, y1: float) -> str:
    middle = (x0 + x1) / 2
    return d("C", middle, y0, middle, y1, x1, y1)


def _hop_path(gap: Gap, ends: tuple[float, float, float, float], stop: float) -> str:
    """One hop: level along its words, curved beside them; it ends ``stop`` units before the box."""
    left, right, y0, y1 = ends
    if abs(y0 - y1) < 0.5:
        return d("H", right - stop)
    words = gap.words + 12 if gap.words else 0.0
    start = left + gap.strip
    if gap.side is Side.SOURCE:
        return d("H", start + words) + _curve(start + words, y0, right - 12, y1) + d("H", right - stop)
    return d("H", start) + _curve(start, y0, right - words - 12, y1) + d("H", right - stop)


def hop_words(layout: Layout, column: int, hop: Hop) -> list[tuple[float, float, str]]:
    """The words of a hop with the middle of their baseline: one line above the arrow, one below."""
    gap = layout.gaps[column + 1]
    left, right, y0, y1 = _hop_ends(layout, column, hop)
    middle, y = (left + gap.strip + right) / 2, y1
    if not gap.level:
        middle = left + gap.strip + gap.words / 2 + 5 if gap.side is Side.SOURCE else right - gap.words / 2 - 10
        y = y0 if gap.side is Side.SOURCE else y1
    arrow = hop.chain.arrow
    return [(middle, y + dy, words) for dy, words in ((-7, arrow.above), (17, arrow.below)) if words]


def chain_piece(layout: Layout, chain: Chain, found: Sequence[tuple[int, Hop]]) -> Piece:
    """An arrow along its tier, over one column or several, with its words."""
    excluded = chain.arrow.tier is Tier.EXCLUDED
    shape, heights = "", []
    for column, hop in found:
        left, right, y0, y1 = _hop_ends(layout, column, hop)
        heights += [y0, y1]
        shape += "" if shape else d("M", left, y0)
        shape += _hop_path(layout.gaps[column + 1], (left, right, y0, y1), (11.0 if excluded else 3.0) if hop.last else 0.0)
        shape += "" if hop.last else d("H", layout.right(column + 1))
    column, hop = found[-1]
    _, right, _, y = _hop_ends(layout, column, hop)
    end = stop_bar(right - 8, y) if excluded else head(right, y, "right")
    words = "".join(text(x, at, w, "t-s", "middle") for x, at, w in hop_words(layout, column, hop) if hop.worded)
    bounds = (layout.right(found[0][0]), min(heights) - 22, right, max(heights) + 22)
    return Piece(bounds, path(shape, STROKES[chain.arrow.tier]) + end + words)


def around_piece(line: Drawn, tier: Tier) -> Piece:
    """An arrow that runs around boxes, with its words."""
    (x, y), (dx, dy) = line.points[-1], _SHORT[line.head]
    corners = [*line.points[:-1], (x + dx, y + dy)]
    shape = d(*(part for i, (px, py) in enumerate(corners) for part in ("M" if i == 0 else "L", px, py)))
    end = stop_bar(x - 6, y) if tier is Tier.EXCLUDED and line.head == "right" else head(x, y, line.head)
    words = text(*line.at, line.words, "t-s") if line.words else ""
    xs, ys = [p[0] for p in line.points], [p[1] for p in line.points]
    wide = line.at[0] + width(line.words, SMALL)
    bounds = (min(xs) - 6, min(ys) - 6, max(*xs, wide), max([*ys, line.at[1]]) + 6)
    return Piece(bounds, path(shape, STROKES[tier]) + end + words)


def note_bounds(layout: Layout, note: Note) -> tuple[float, float, float, float]:
    """The room of the words of an ending."""
    left, y = note_left(layout, note), layout.band(note.box).top + note.row.y
    return (left, y - note.high / 2, left + note.wide, y + note.high / 2)


def note_piece(layout: Layout, note: Note) -> Piece:
    """The words of an ending; where something stops the leaf, dots and a bar before them."""
    left, top, right, bottom = note_bounds(layout, note)
    y = (top + bottom) / 2
    lines = [(line, "t-b") for line in note.strong] + [(line, "t-s") for line in note.plain]
    words = "".join(text(left, top + 15 + 18 * i, line, cls) for i, (line, cls) in enumerate(lines))
    if not (note.ending.barred and note.led):
        return Piece((left, top, right, bottom), words)
    start = layout.right(note.box.column) + 4
    dots = path(d("M", start, y, "H", left - 15), STROKES[Tier.EXCLUDED]) + stop_bar(left - 12, y)
    return Piece((start, top, right, bottom), dots + words)
