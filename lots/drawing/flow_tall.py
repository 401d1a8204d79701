"""The season from top to bottom: one column of ribbons with a straight left edge, one column of words to its right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from lots.drawing import ribbons
from lots.drawing.flow_columns import NAME_SIZE
from lots.drawing.flow_plan import Plan, Slice, Station, Stroke
from lots.drawing.flow_wide import Scale, scale_words, stroked
from lots.drawing.labels import Bounds, Label, label_for, line_for
from lots.drawing.metrics import longest, wrap
from lots.drawing.svg import path, rect, text
from lots.drawing.words import Words


@dataclass(frozen=True, slots=True)
class Frame:
    """Measures of a tall drawing: its width, the left edge and greatest width of ribbons, where arms end, where words begin."""

    width: float
    left: float
    ribbon: float
    arm_end: float
    words: float
    one_line: bool = False

    def label(self, piece: Slice, x: float, top: float, room: float) -> Label:
        """Words of a slice, on one line where this drawing has the room."""
        return (line_for if self.one_line else label_for)(piece, x, top, room)


PHONE = Frame(width=340, left=6, ribbon=146, arm_end=169, words=177)
SHEET = Frame(width=800, left=8, ribbon=360, arm_end=420, words=434, one_line=True)
_BAR = 3.0


@dataclass(frozen=True, slots=True)
class Arm:
    """A slice that leaves to the right or comes in from there: its place on the bar at ``bar``, and its height ``top``."""

    piece: Slice
    bar: float
    left: float
    top: float
    label: Label
    comes_in: bool = False


@dataclass(frozen=True, slots=True)
class Title:
    """A stage's name and note beside its bar."""

    x: float
    top: float
    name: tuple[str, ...]
    note: tuple[str, ...]

    @property
    def bounds(self) -> Bounds:
        wide = max(longest(self.name, NAME_SIZE), longest(self.note, 13))
        return (self.x, self.top, self.x + wide, self.top + 22.0 * len(self.name) + 17.0 * len(self.note))

    def svg(self) -> str:
        """Name and note as markup."""
        under = self.top + 22.0 * len(self.name)
        words = [text(self.x, self.top + 17 + 22 * i, line, "t-l") for i, line in enumerate(self.name)]
        return "".join(words + [text(self.x, under + 12 + 17 * i, line, "t-s") for i, line in enumerate(self.note)])


@dataclass(frozen=True, slots=True)
class Length:
    """One ribbon from bar to bar, narrower from ``turn`` on where some of it is not taken on."""

    left: float
    px: float
    top: float
    bottom: float
    turn: float
    kept: float
    arm: float | None = None


@dataclass(slots=True)
class Tall:
    """The tall drawing while it is laid out, and with everything in its place: tests measure it."""

    frame: Frame
    y: float = 0.0
    bars: list[tuple[float, float]] = field(default_factory=list)
    titles: list[Title] = field(default_factory=list)
    lengths: list[Length] = field(default_factory=list)
    arms: list[Arm] = field(default_factory=list)
    captions: list[Label] = field(default_factory=list)
    forked: list[Slice] = field(default_factory=list)
    scale: Scale | None = None
    height: float = 0.0

    @property
    def room(self) -> float:
        return self.frame.width - self.frame.words - 2

    def labels(self) -> list[Label]:
        """Every block of words but the stage names and the scale."""
        return [*(a.label for a in self.arms), *self.captions]

    def arm(self, piece: Slice, bar: float, left: float, *, comes_in: bool = False) -> Arm:
        """Puts an arm with its words at the next free height and moves on below both."""
        label = self.frame.label(piece, self.frame.words, 0, self.room)
        top = max(self.y + max(label.high - piece.drawn_px, 0.0) / 2, bar + ribbons.TURN + 4 if not comes_in else 0.0)
        words = self.frame.label(piece, self.frame.words, top + (piece.drawn_px - label.high) / 2, self.room)
        arm = Arm(piece, bar, left, top, words, comes_in)
        self.arms.append(arm)
        self.y = max(top + piece.drawn_px, words.bounds[3]) + 8
        return arm

    def caption(self, piece: Slice, left: float, clear: float, between: tuple[float, float]) -> None:
        """Words of a ribbon: on it where it is wide enough, else to the right of ``clear``, below all arms."""
        label = label_for(piece, left + 9, 0, piece.true_px - 14)
        if piece.true_px > 60 and label.wide <= piece.true_px - 14 and label.high <= between[1] - between[0]:
            top = between[0] + (between[1] - between[0] - label.high) / 2
            self.captions.append(label_for(piece, left + 9, top, piece.true_px - 14))
            return
        words = self.frame.label(piece, clear + 9, self.y, self.frame.width - clear - 11)
        self.captions.append(words)
        self.y = words.bounds[3] + 8


def _title(laid: Tall, station: Station, bar: float) -> None:
    """The stage's name to the right of its bar."""
    x = laid.bars[-1][1] + 8
    room = laid.frame.width - x - 2
    title = Title(x, bar - 11, wrap(station.name, room, NAME_SIZE, limit=2), wrap(station.note, room, 13, 2))
    laid.titles.append(title)
    laid.y = title.bounds[3] + 8


def _bar(laid: Tall, station: Station) -> float:
    """Puts the bar of a stage at the next free height."""
    bar = laid.y + _BAR
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
    below = bar + _BAR + 6
    for piece in station.mains:
        laid.caption(piece, left, clear, (below, max(laid.y, below + 46)))
        left += piece.true_px


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
        since, before = laid.bars[-1][0], station.main_px
    laid.y = max(laid.y + 4, since + 64)
    _end(laid, open_lengths, laid.y)
    laid.height = laid.y + 8
    if plan.px_per_mg > 0:
        px, lines = scale_words(plan, words)
        cut = (lines[0], *(part for line in lines[1:] for part in wrap(line, frame.width - 8, 13)))
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
    bars = [rect(left, y - _BAR, right - left, 2 * _BAR, "ink") for y, right in laid.bars]
    end = laid.frame.arm_end
    arms = [_arm(a, end, prefix) for a in laid.arms if not any(a.piece is f for f in laid.forked)]
    parts = [*(_length(n, end) for n in laid.lengths), *arms, *bars]
    words = [*(t.svg() for t in laid.titles), *(label.svg() for label in laid.labels())]
    return "".join([*parts, *words, laid.scale.svg() if laid.scale else ""])
