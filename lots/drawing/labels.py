"""Blocks of words in a drawing: lines of one pitch, the first with a verdict mark where there is one."""

from __future__ import annotations

from dataclasses import dataclass

from lots.drawing.flow_slices import Slice
from lots.drawing.marks import mark_at
from lots.drawing.metrics import longest, wrap
from lots.drawing.svg import text
from lots.trade.weighing import Verdict

PITCH = 18.0
MARK = 17.0
_BESIDE_MARK = 24.0

#: Left, top, right, bottom, in drawing units.
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Label:
    """A block of words with its upper left corner: ``strong`` lines in bold, then ``plain`` ones."""

    x: float
    top: float
    strong: tuple[str, ...]
    plain: tuple[str, ...]
    verdict: Verdict | None = None
    inline: bool = False

    @property
    def high(self) -> float:
        return block_height(1 if self.inline else len(self.strong) + len(self.plain))

    @property
    def wide(self) -> float:
        indent = _BESIDE_MARK if self.verdict else 0.0
        if self.inline:
            return indent + longest(self.strong) + 10 + longest(self.plain)
        return max(longest(self.strong) + indent, longest(self.plain))

    @property
    def bounds(self) -> Bounds:
        return (self.x, self.top, self.x + self.wide, self.top + self.high)

    def svg(self) -> str:
        """The block as markup."""
        indent = _BESIDE_MARK if self.verdict else 0.0
        step = 0.0 if self.inline else PITCH
        aside = indent + longest(self.strong) + 10 if self.inline else 0.0
        lines = [(line, "t-b", indent) for line in self.strong] + [(line, None, aside) for line in self.plain]
        words = [text(self.x + dx, self.top + 14 + step * i, line, cls) for i, (line, cls, dx) in enumerate(lines)]
        mark = mark_at(self.verdict, self.x, self.top, MARK) if self.verdict else ""
        return mark + "".join(words)


def block_height(lines: int) -> float:
    """Height of a block of ``lines`` lines in drawing units."""
    return PITCH * lines + 1


def label_for(piece: Slice, x: float, top: float, room: float) -> Label:
    """The words of a slice, wrapped to ``room`` drawing units."""
    indent = _BESIDE_MARK if piece.verdict else 0.0
    strong = wrap(piece.strong, max(room - indent, 20), limit=3)
    plain = tuple(line for words in piece.plain for line in wrap(words, max(room, 20), limit=2))
    return Label(x, top, strong, plain, piece.verdict)


def line_for(piece: Slice, x: float, top: float, room: float) -> Label:
    """The words of a slice on one line where they fit, else as ``label_for``."""
    label = Label(x, top, (piece.strong,), (", ".join(piece.plain),), piece.verdict, inline=True)
    return label if label.wide <= room else label_for(piece, x, top, room)


def natural_width(piece: Slice, most: float = 200) -> float:
    """The room that the words of a slice would like, at most ``most`` drawing units."""
    return min(most, label_for(piece, 0, 0, most).wide)
