"""Boxes of the lineage drawing: how wide a column is, how high a box, and the box as markup."""

from __future__ import annotations

from dataclasses import dataclass

from lots.drawing.marks import mark_at
from lots.drawing.metrics import longest, width, wrap
from lots.drawing.svg import escape, rect, tag, text
from lots.trade.lineage import Box, LineageSheet

HEADING = 19.0
SMALL = 13.0
_MARK_ROOM = 22.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Measures of a lineage sheet: the narrowest and widest box, the widest box of the last column, room kept for an empty
    column, the narrowest gap and the room beside its words, and whether boxes are links."""

    least: float = 92
    most: float = 128
    last_most: float = 172
    empty: float = 60
    gap: float = 40
    beside: float = 18
    links: bool = True


SCREEN = Frame()
#: On paper small type must stay 8 pt high: the widest of these columns that fit one page across are taken.
SHEETS = tuple(
    Frame(least=84, most=most, last_most=most + 24, empty=48, gap=28, beside=10, links=False) for most in (128.0, 120.0, 112.0, 106.0)
)


@dataclass(frozen=True, slots=True)
class Sized:
    """A box with its wrapped words and its size in drawing units; ``small`` boxes stand in the last column."""

    box: Box
    title: tuple[str, ...]
    lines: tuple[str, ...]
    wide: float
    high: float
    small: bool

    @property
    def cut(self) -> bool:
        """Whether not all of its words fit."""
        return any(line.endswith("…") for line in (*self.title, *self.lines))


def _pad(box: Box) -> float:
    return 14.0 if box.scanned else 9.0


def natural_width(box: Box, *, small: bool) -> float:
    """The width that a box would like, in drawing units."""
    title = width(box.title, SMALL if small else 15) + (_MARK_ROOM if box.verdict else 0)
    return max([title, *(width(line, SMALL) for line in box.lines)]) + _pad(box) + max(_pad(box) - 2, 7)


def column_widths(sheet: LineageSheet, frame: Frame) -> tuple[float, ...]:
    """The width of every column; an empty one keeps its place with less room."""
    last = len(sheet.columns) - 1
    found = []
    for column, heading in enumerate(sheet.columns):
        boxes = [b for b in sheet.boxes if b.column == column]
        most = frame.last_most if column == last else frame.most
        wish = max((natural_width(b, small=column == last) for b in boxes), default=frame.empty)
        least = frame.least if boxes else frame.empty
        found.append(max(least, min(wish, most), longest(wrap(heading, most, HEADING, 2), HEADING)))
    return tuple(found)


def sized(box: Box, wide: float, *, small: bool, least_high: float = 0.0) -> Sized:
    """A box with its words wrapped to the width of its column."""
    room = wide - 2 * _pad(box) + 2
    title = wrap(box.title, room - (_MARK_ROOM - 4 if box.verdict else 0), SMALL if small else 15, limit=2)
    lines = tuple(part for line in box.lines for part in wrap(line, room, SMALL, limit=2))
    count = len(title) + len(lines)
    high = 18.0 * count + 8 if small else 18.5 * max(count - 1, 0) + 41
    return Sized(box, title, lines, wide, max(high + (4 if box.scanned else 0), least_high), small)


def _words(item: Sized, x: float, y: float) -> str:
    pad, first = _pad(item.box), (18.0 if item.small else 21.0) + (6.0 if item.box.scanned else 0.0)
    pitch = 18.0 if item.small else 18.5
    title_class = "t-s t-b" if item.small else "t-b"
    rows = [(line, title_class) for line in item.title] + [(line, "t-s") for line in item.lines]
    return "".join(text(x + pad, y + first + pitch * i, line, cls) for i, (line, cls) in enumerate(rows))


def _frame(item: Sized, x: float, y: float) -> str:
    outer = rect(x, y, item.wide, item.high, "thick box" if item.box.scanned else "box")
    inner = rect(x + 5, y + 5, item.wide - 10, item.high - 10, "box2") if item.box.scanned else ""
    return outer + inner


def box_svg(item: Sized, x: float, y: float, *, links: bool) -> str:
    """A box as markup: a link where it leads somewhere; all its words as a title where some had to be cut."""
    inset = 6.0 if item.box.scanned else 0.0
    mark = mark_at(item.box.verdict, x + item.wide - 23 - inset, y + 7 + inset, 15) if item.box.verdict else ""
    whole = tag("title", escape(" ".join((item.box.title, *item.box.lines)))) if item.cut else ""
    inside = whole + _frame(item, x, y) + _words(item, x, y) + mark
    if links and item.box.href:
        return tag("a", inside, href=item.box.href)
    return tag("g", inside) if whole else inside
