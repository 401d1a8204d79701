"""Parts of the tall flow drawing: arms, stage names, ribbons, and the sheet on which they are put one below the other."""

from __future__ import annotations

from dataclasses import dataclass, field

from lots.drawing import ribbons
from lots.drawing.flow_columns import NAME_SIZE
from lots.drawing.flow_slices import Slice
from lots.drawing.flow_wide import Scale
from lots.drawing.labels import Bounds, Label, label_for, line_for
from lots.drawing.metrics import longest
from lots.drawing.svg import text


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
SHEET = Frame(width=800, left=8, ribbon=300, arm_end=350, words=362, one_line=True)
BAR = 3.0


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
    inline: bool = False

    @property
    def bounds(self) -> Bounds:
        name, note = longest(self.name, NAME_SIZE), longest(self.note, 13)
        wide = name + 12 + note if self.inline else max(name, note)
        return (self.x, self.top, self.x + wide, self.top + 22.0 * len(self.name) + (0 if self.inline else 17.0) * len(self.note))

    def svg(self) -> str:
        """Name and note as markup."""
        words = [text(self.x, self.top + 17 + 22 * i, line, "t-l") for i, line in enumerate(self.name)]
        if self.inline:
            left, first = self.x + longest(self.name, NAME_SIZE) + 12, self.top + 17
        else:
            left, first = self.x, self.top + 22.0 * len(self.name) + 12
        return "".join(words + [text(left, first + 17 * i, line, "t-s") for i, line in enumerate(self.note)])


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
