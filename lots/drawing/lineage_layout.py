"""Places of the lineage drawing: three tiers one below the other, a column per stage, gaps as wide as their words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from lots.drawing.lineage_boxes import HEADING, SMALL, Frame, Sized, column_widths, sized
from lots.drawing.lineage_links import BARE_HIGH, WORDS_HIGH, Links, Side, hops, links, ports_high, set_ports, side_of
from lots.drawing.lineage_order import Row, arrange
from lots.drawing.lineage_parts import Band, Gap, Note
from lots.drawing.metrics import wrap
from lots.trade.lineage import Box, Ending, LineageSheet, Tier

_TIER_HEAD = 40.0


@dataclass(slots=True)
class Layout:
    """Everything in its place; ``rows`` are by box key, ``lefts`` and ``wides`` by column, ``gaps`` by the column left of them
    plus one (gap 0 lies before the first column)."""

    sheet: LineageSheet
    frame: Frame
    links: Links
    wides: tuple[float, ...]
    items: dict[str, Sized]
    rows: dict[str, Row]
    bands: list[Band]
    notes: list[Note]
    gaps: list[Gap]
    lefts: list[float] = field(default_factory=list)
    head: float = 0.0
    width: float = 0.0
    height: float = 0.0

    def band(self, box: Box) -> Band:
        """The band of a box's tier."""
        return next(b for b in self.bands if b.tier == box.tier)

    def middle(self, box: Box) -> float:
        """The height of the middle of a box."""
        return self.band(box).top + self.rows[box.key].y

    def bounds(self, box: Box) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of a box."""
        item, left, y = self.items[box.key], self.lefts[box.column], self.middle(box)
        return (left, y - item.high / 2, left + item.wide, y + item.high / 2)

    def right(self, column: int) -> float:
        """The right edge of a column."""
        return self.lefts[column] + self.wides[column]


def _note(endings: list[Ending], box: Box, row: Row, room: float, *, led: bool) -> Note:
    strongs = [e.strong if led else f"{box.title}: {e.strong}" for e in endings]
    strong = tuple(line for words in strongs for line in wrap(words, room, 15, 3))
    plain = tuple(line for e in endings for line in wrap(e.plain, room, SMALL, 4))
    return Note(endings[0], box, strong, plain, row, led)


def _notes(sheet: LineageSheet, found: Links, rows: dict[str, Row], wides: Sequence[float], frame: Frame) -> list[Note]:
    """Endings with the rows that they take: level with their box, or a row of their own where an arrow goes on."""
    boxes, goes_on = {b.key: b for b in sheet.boxes}, {c.source.key for c in found.chains}
    notes = []
    for i, key in enumerate(dict.fromkeys(e.key for e in sheet.endings if e.key in boxes)):
        box, led = boxes[key], key not in goes_on
        later = range(box.column + 1, len(sheet.columns))
        free = sum(wides[c] + frame.gap for c in later) - 74
        row = rows[key] if led else Row(len(sheet.boxes) + i, {}, y=rows[key].y, before=[rows[key]])
        endings = [e for e in sheet.endings if e.key == key]
        note = _note(endings, box, row, min(420.0, free) if free >= 180 else 260.0, led=led)
        row.heights |= dict.fromkeys(later, note.high)
        if not later:
            row.heights[box.column] = max(row.heights[box.column], note.high)
        notes.append(note)
    return notes


def _join(start: Row, end: Row) -> None:
    start.after.append(end)
    end.before.append(start)


def _lanes(found: Links, rows: dict[str, Row], first: int) -> list[tuple[Tier, Row]]:
    """Rows of arrows that pass over columns, and all neighbourhoods."""
    passing = []
    for i, chain in enumerate(found.chains):
        source, target = rows[chain.source.key], rows[chain.target.key]
        chain.lane = None
        passed = range(chain.source.column + 1, chain.target.column)
        if not passed:
            _join(source, target)
            continue
        chain.lane = Row(first + i, dict.fromkeys(passed, BARE_HIGH))
        if chain.worded:
            chain.lane.heights[passed[-1]] = WORDS_HIGH
        _join(source, chain.lane)
        _join(chain.lane, target)
        passing.append((chain.source.tier, chain.lane))
    return passing


def _bands(sheet: LineageSheet, rows: dict[str, Row], notes: list[Note], passing: list[tuple[Tier, Row]]) -> list[Band]:
    bands = []
    for tier in Tier:
        own = [rows[b.key] for b in sheet.boxes if b.tier == tier]
        own += [n.row for n in notes if n.box.tier == tier and not n.led]
        own += [row for t, row in passing if t == tier]
        if own:
            band = Band(tier, sorted(own, key=lambda r: r.index))
            band.reach = arrange(band.rows)
            bands.append(band)
    return bands


def _gaps(sheet: LineageSheet, found: Links, rows: dict[str, Row], frame: Frame) -> list[Gap]:
    gaps = [Gap(frame.gap, frame.beside) for _ in range(len(sheet.columns) + 1)]
    for chain in found.chains:
        for column, hop in hops(chain, rows):
            gaps[column + 1].hops.append(hop)
    for gap in gaps:
        gap.side = side_of(gap.hops)
        if gap.side is Side.PORTS:
            set_ports(gap.hops)
    return gaps


def begin(sheet: LineageSheet, frame: Frame) -> Layout:
    """Sizes and heights: everything but the widths of gaps, which depend on the arrows that run around the boxes."""
    found, wides = links(sheet), column_widths(sheet, frame)
    least, last = ports_high(sheet, found), len(sheet.columns) - 1
    items = {
        b.key: sized(b, wides[b.column], small=b.column == last, least_high=least.get(b.key, 0.0)) for b in sheet.boxes
    }
    rows = {b.key: Row(i, {b.column: items[b.key].high}) for i, b in enumerate(sheet.boxes)}
    passing = _lanes(found, rows, 2 * len(sheet.boxes) + len(sheet.endings))
    notes = _notes(sheet, found, rows, wides, frame)
    bands = _bands(sheet, rows, notes, passing)
    return Layout(sheet, frame, found, wides, items, rows, bands, notes, _gaps(sheet, found, rows, frame))


def headings(layout: Layout) -> list[tuple[str, ...]]:
    """Column headings, wrapped to what a column may be wide."""
    return [wrap(h, layout.frame.most, HEADING, 2) for h in layout.sheet.columns]


def finish(layout: Layout) -> None:
    """Places columns and tiers, now that strips and lanes are known."""
    layout.head = 12.0 + 22 * max((len(h) for h in headings(layout)), default=1)
    y = layout.head - 2
    for band in layout.bands:
        band.top = y + _TIER_HEAD
        y = band.bottom
    layout.height = y
    x = layout.gaps[0].strip
    for column, wide in enumerate(layout.wides):
        layout.lefts.append(x)
        gap = layout.gaps[column + 1]
        gap.left = x + wide
        x += wide + (gap.wide if column + 1 < len(layout.wides) else gap.strip)
    layout.width = max(x, *(note_left(layout, n) + n.wide + 2 for n in layout.notes), 0.0) if layout.notes else x


def note_left(layout: Layout, note: Note) -> float:
    """Where the words of an ending begin: after its box, and after its bar where it has one."""
    gap = layout.gaps[note.box.column + 1]
    return gap.left + gap.strip + (62.0 if note.ending.barred and note.led else 14.0)
