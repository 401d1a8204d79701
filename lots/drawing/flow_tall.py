"""The season from top to bottom: one column of ribbons with a straight left edge, one column of words to its right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lots.drawing import ribbons
from lots.drawing.flow_columns import NAME_SIZE
from lots.drawing.flow_slices import Plan, Slice, Station, Stroke
from lots.drawing.flow_tall_parts import BAR, Arm, Frame, Length, Tall, Title
from lots.drawing.flow_wide import Scale, scale_words, stroked
from lots.drawing.metrics import wrap
from lots.drawing.svg import path, rect
from lots.drawing.words import Words


def _title(laid: Tall, station: Station, bar: float) -> None:
    """The stage's name to the right of its bar."""
    x = laid.bars[-1][1] + 8
    room = laid.frame.width - x - 2
    title = Title(x, bar - 11, wrap(station.name, room, NAME_SIZE, limit=2), wrap(station.note, room, 13, 2))
    if laid.frame.one_line and len(title.name) == 1 == len(title.note):
        line = replace(title, inline=True)
        title = line if line.bounds[2] <= laid.frame.width else title
    laid.titles.append(title)
    laid.y = title.bounds[3] + 8


def _bar(laid: Tall, station: Station) -> float:
    """Puts the bar of a stage at the next free height."""
    bar = laid.y + BAR
    widest = max(station.input_px + station.entering_px, station.out_px)
    laid.bars.append((bar, laid.frame.left + max(widest, 1.0) + 4))
    return bar


def _come_in(laid: Tall, station: Station, from_before_px: float, since: float) -> None:
    """What joins from elsewhere, then what is too much: each a slice further out, each lower."""
    first = len(laid.arms)
    left = laid.frame.left + from_before_px
    laid.y = max(laid.y, since + 8)
    for piece in (*((station.stock,) if station.stock else ()), *station.entering):
        laid.arm(piece, 0.0, left, comes_in=True)
        left += piece.true_px
    deepest = max((a.top + a.piece.drawn_px + ribbons.TURN + 6 for a in laid.arms[first:]), default=0.0)
    laid.y = max(laid.y, deepest)


def _hang(laid: Tall, first: int, bar: float) -> None:
    """Tells the arms that came in since ``first`` where their bar is."""
    laid.arms[first:] = [
        replace(a, bar=bar) if a.comes_in else a for a in laid.arms[first:]
    ]


def _leave(laid: Tall, station: Station, bar: float) -> None:
    right = laid.frame.left + station.out_px
    for piece in station.leaving:
        laid.arm(piece, bar, right - piece.drawn_px)
        right -= piece.true_px


def _waiting(laid: Tall, station: Station) -> Arm | None:
    """What is not taken on leaves the ribbon (None: nothing waits)."""
    if station.waiting is None:
        return None
    turn = laid.y
    laid.y += ribbons.TURN + 6
    return laid.arm(station.waiting, turn, laid.frame.left + station.main_px - station.waiting.drawn_px)


def _captions(laid: Tall, station: Station, bar: float) -> None:
    left, clear = laid.frame.left, laid.frame.left + station.main_px
    below = bar + BAR + 6
    for piece in station.mains:
        laid.caption(piece, left, clear, (below, max(laid.y, below + 46)))
        left += piece.true_px
    if station.waiting:
        laid.y = max([laid.y, *(label.bounds[3] + 4 for label in laid.captions)])


def _lengths(laid: Tall, station: Station, bar: float, waits: Arm | None) -> list[int]:
    """Ribbons that begin at this bar; their lower end is not known yet. What waits is one shape with the last ribbon where
    it comes from that one alone."""
    left, kept = laid.frame.left, laid.frame.left + station.main_px - (waits.piece.true_px if waits else 0.0)
    first = len(laid.lengths)
    one = waits if waits and station.mains and station.mains[-1].true_px > waits.piece.true_px else None
    for piece in station.mains:
        right = left + piece.drawn_px
        arm = one.top if one and right > kept + 0.01 else None
        laid.lengths.append(Length(left, piece.drawn_px, bar, 0.0, waits.bar if waits else 0.0, min(right, kept), arm))
        left += piece.true_px
    if one:
        laid.forked.append(one.piece)
    return list(range(first, len(laid.lengths)))


def _end(laid: Tall, open_lengths: Sequence[int], y: float) -> None:
    for i in open_lengths:
        old = laid.lengths[i]
        laid.lengths[i] = replace(old, bottom=y)


def _source(laid: Tall, source: Slice | None) -> list[int]:
    """What came in before the first bar."""
    if source is None:
        return []
    laid.y = 12.0
    laid.caption(source, laid.frame.left, laid.frame.left + source.drawn_px, (6.0, 62.0))
    laid.lengths.append(Length(laid.frame.left, source.drawn_px, 0.0, 0.0, 0.0, laid.frame.left + source.drawn_px))
    return [0]


def _stage(laid: Tall, station: Station, before_px: float, open_lengths: Sequence[int], since: float) -> list[int]:
    """One stage: what comes in, its bar, what leaves, its ribbons' words, what waits. Returns its open ribbons."""
    first = len(laid.arms)
    _come_in(laid, station, before_px, since)
    laid.y = max(laid.y + 12, since + 64)
    bar = _bar(laid, station)
    _hang(laid, first, bar)
    _end(laid, open_lengths, bar)
    _title(laid, station, bar)
    _leave(laid, station, bar)
    _captions(laid, station, bar)
    return _lengths(laid, station, bar, _waiting(laid, station))


def lay_out(plan: Plan, frame: Frame, words: Words) -> Tall:
    """Gives every bar, ribbon, arm and word of a plan its place, from top to bottom."""
    laid = Tall(frame)
    open_lengths = _source(laid, plan.source)
    before = plan.source.true_px if plan.source else 0.0
    since = 0.0
    for station in plan.stations:
        open_lengths = _stage(laid, station, before, open_lengths, since)
        since, before = laid.bars[-1][0], station.main_px - (station.waiting.true_px if station.waiting else 0.0)
    laid.y = max(laid.y + 4, since + 64)
    _end(laid, open_lengths, laid.y)
    laid.height = laid.y + 8
    if plan.px_per_mg > 0:
        px, lines = scale_words(plan, words)
        beside = lines[0] if Scale(frame.left, 0, px, lines[:1]).bounds[2] <= frame.width else ""
        rest = lines[1:] if beside else lines
        cut = (beside, *(part for line in rest for part in wrap(line, frame.width - 8, 13)))
        laid.scale = Scale(frame.left, laid.y + 16, px, cut)
        laid.height = laid.scale.bounds[3] + 8
    return laid


def _arm(arm: Arm, end: float, prefix: str) -> str:
    piece = arm.piece
    if arm.comes_in:
        shape = ribbons.arm_in_hollow if piece.hollow else ribbons.arm_in_line if piece.dashed else ribbons.arm_in
    else:
        shape = ribbons.arm_hollow if piece.hollow else ribbons.arm_line if piece.dashed else ribbons.arm_out
    return stroked(piece, prefix, shape(arm.bar, arm.left, piece.drawn_px, arm.top, end))


def _length(n: Length, end: float) -> str:
    right = n.left + n.px
    if n.kept >= right - 0.01:
        return rect(n.left, n.top, n.px, n.bottom - n.top, Stroke.RIBBON)
    if n.arm is None:
        return rect(n.left, n.top, n.px, n.turn - n.top, Stroke.RIBBON)
    return path(ribbons.arm_fork(n.top, n.left, n.bottom, n.kept, right - n.kept, n.arm, end), Stroke.RIBBON)


def body(laid: Tall, prefix: str) -> str:
    """The drawing as markup, without its outer element."""
    left = laid.frame.left - 4
    bars = [rect(left, y - BAR, right - left, 2 * BAR, "ink") for y, right in laid.bars]
    end = laid.frame.arm_end
    arms = [_arm(a, end, prefix) for a in laid.arms if not any(a.piece is f for f in laid.forked)]
    parts = [*(_length(n, end) for n in laid.lengths), *arms, *bars]
    words = [*(t.svg() for t in laid.titles), *(label.svg() for label in laid.labels())]
    return "".join([*parts, *words, laid.scale.svg() if laid.scale else ""])
