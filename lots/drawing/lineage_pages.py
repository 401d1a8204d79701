"""The lineage drawing cut into pages of landscape A4: never through a box or its words, each page saying what goes on where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lots.drawing.lineage_arrows import Piece, note_bounds, note_piece
from lots.drawing.lineage_layout import Layout
from lots.drawing.metrics import wrap
from lots.drawing.svg import num, tag, text
from lots.drawing.words import Words
from lots.trade.lineage import Box, Tier

PAGE_MM = 265.0
#: Drawing units across a page: small type of 13 units is then 8 pt.
PAGE_WIDE = 1220.0
#: Drawing units down a page, 155 mm: what a landscape sheet leaves beside its head, its foot and a caption.
PAGE_HIGH = 713.0
_FOOT_LINE = 18.0

View = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Window:
    """The part of the drawing that one page shows: columns ``first`` to ``last``, and heights."""

    left: float
    top: float
    right: float
    bottom: float
    first: int
    last: int

    def shows(self, piece: Piece) -> bool:
        """Whether a part of the drawing belongs on this page; what must stay whole only if it fits, or fits on no page."""
        left, top, right, bottom = piece.bounds
        touches = left < self.right and right > self.left and top < self.bottom and bottom > self.top
        fits = self.top <= top and bottom <= self.bottom
        return touches and (fits or not piece.whole or bottom - top > self.bottom - self.top)

    def holds(self, layout: Layout, box: Box) -> bool:
        """Whether a box stands on this page."""
        return self.first <= box.column <= self.last and self.shows(Piece(layout.bounds(box), "", whole=True))


def _end(layout: Layout, first: int, last: int) -> float:
    """How far right the columns ``first`` to ``last`` reach with their arrows and endings."""
    following = layout.lefts[last + 1] - 1 if last + 1 < len(layout.lefts) else layout.right(last) + 4
    notes = [note_bounds(layout, n)[2] for n in layout.notes if first <= n.box.column <= last]
    return max([following, *notes])


def _greedy(layout: Layout, room: float) -> list[tuple[int, int]]:
    cuts, first = [], 0
    for column in range(1, len(layout.wides)):
        if _end(layout, first, column) - layout.lefts[first] > room:
            cuts.append((first, column - 1))
            first = column
    return [*cuts, (first, len(layout.wides) - 1)]


def column_cuts(layout: Layout) -> list[tuple[int, int]]:
    """First and last column of each page across: as few pages as can be, of like width."""
    most = PAGE_WIDE - 4
    cuts = _greedy(layout, most)
    room = layout.width / len(cuts)
    while room < most and len(tighter := _greedy(layout, room)) >= len(cuts):
        if len(tighter) == len(cuts):
            return tighter
        room += 20
    return cuts


def _solid(layout: Layout) -> list[tuple[float, float]]:
    """Heights at which a page may not be cut."""
    boxes = [layout.bounds(b) for b in layout.sheet.boxes]
    notes = [note_bounds(layout, n) for n in layout.notes]
    titles = [(0.0, band.top - 34, 0.0, band.top) for band in layout.bands]
    return [(top - 3, bottom + 3) for _, top, _, bottom in (*boxes, *notes, *titles)]


def _next_top(layout: Layout, top: float, cut: float, room: float) -> float:
    """Where the page after a hard cut begins: above the boxes that the cut would go through."""
    cut_through = [t for _, t, _, b in map(layout.bounds, layout.sheet.boxes) if t < cut < b and b - t < room - 16]
    above = min(cut_through, default=cut) - (16 if cut_through else 0)
    return above if above > top + 50 else cut


def height_cuts(layout: Layout, room: float) -> list[tuple[float, float]]:
    """Upper and lower end of each page down. Where no height is free of boxes, pages overlap, so that each box is whole on
    one of them."""
    solid, top, cuts = _solid(layout), layout.head + 2, []
    ends = [low for _, low in solid] + [band.bottom - 1 for band in layout.bands]
    while layout.height - top > room:
        free = [low for low in ends if top < low <= top + room and not any(a < low < b for a, b in solid)]
        cut = max(free, default=top + room)
        cuts.append((top, cut))
        top = cut if free else _next_top(layout, top, cut, room)
    return [*cuts, (top, layout.height)]


def windows(layout: Layout, foot: float = 24.0) -> list[Window]:
    """The pages of a drawing, row by row, each with ``foot`` units kept below; a page without any box is left out."""
    found = []
    for top, bottom in height_cuts(layout, PAGE_HIGH - layout.head - foot):
        for first, last in column_cuts(layout):
            following = layout.lefts[last + 1] - 1 if last + 1 < len(layout.lefts) else layout.width + 2
            found.append(Window(layout.lefts[first] - 2, top, following, bottom, first, last))
    return [w for w in found if any(w.holds(layout, b) for b in layout.sheet.boxes)] or found[:1]


def _page_of(layout: Layout, box: Box, found: Sequence[Window]) -> int:
    return next((i for i, w in enumerate(found, 1) if w.holds(layout, box)), 0)


def _continued(layout: Layout, found: Sequence[Window], page: int, words: Words) -> list[str]:
    """What goes on on other pages, and what comes from them, box by box."""
    boxes = {b.key: b for b in layout.sheet.boxes}
    onward: dict[int, list[str]] = {}
    back: dict[int, list[str]] = {}
    for arrow in layout.sheet.arrows:
        source, target = boxes[arrow.source], boxes[arrow.target]
        here, there = _page_of(layout, source, found), _page_of(layout, target, found)
        if here == page != there:
            onward.setdefault(there, []).append(target.title)
        if there == page != here:
            back.setdefault(here, []).append(source.title)
    return [
        pattern.format(page=other, boxes=", ".join(dict.fromkeys(titles)))
        for pattern, pages_of in ((words.goes_on, onward), (words.comes_from, back)) for other, titles in sorted(pages_of.items())
    ]


def _inner(parts: Sequence[Piece], window: Window, y: float) -> str:
    wide, high = window.right - window.left, window.bottom - window.top
    view = " ".join(num(v) for v in (window.left, window.top, wide, high))
    inside = "".join(p.svg for p in parts if window.shows(p))
    return tag("svg", inside, x=0.0, y=y, width=wide, height=high, viewBox=view) if inside else ""


def _head(layout: Layout, parts: Sequence[Piece], window: Window) -> str:
    top = Window(window.left, 0, window.right, layout.head + 2, window.first, window.last)
    return _inner(parts, top, 0.0)


def _tier_names(layout: Layout, window: Window, names: dict[Tier, str]) -> list[Piece]:
    """Names of tiers that begin on this page, where the page does not show the first column with its own."""
    if window.first == 0:
        return []
    starts = [b for b in layout.bands if window.top <= b.top - 26 and b.top < window.bottom]
    left = window.left + 2
    return [Piece((left, b.top - 26, left + 9, b.top - 8), text(left, b.top - 12, names[b.tier], "t-b")) for b in starts]


def _running_name(layout: Layout, window: Window, names: dict[Tier, str]) -> str:
    """The tier that a page begins in the middle of."""
    band = next((b for b in layout.bands if b.top < window.top < b.top + b.reach), None)
    return text(2, layout.head + 22, names[band.tier], "t-b") if band else ""


def _foot(lines: Sequence[str], y: float) -> str:
    return "".join(text(2, y + _FOOT_LINE * i, line, "t-s") for i, line in enumerate(lines))


def _notes(layout: Layout, window: Window, y: float) -> str:
    """Endings of this page's boxes, which may run on over the place of columns that are on the next page."""
    own = [note_piece(layout, n) for n in layout.notes if window.holds(layout, n.box)]
    return _inner(own, replace(window, right=max(window.right, window.left + PAGE_WIDE)), y)


def _page(layout: Layout, heads: Sequence[Piece], parts: Sequence[Piece], found: Sequence[Window], page: int,
          words: Words) -> tuple[str, View]:
    window = found[page - 1]
    names = {Tier.CONTAINS: words.contains, Tier.TOUCHED: words.touched, Tier.EXCLUDED: words.excluded}
    tier = _running_name(layout, window, names)
    start = layout.head + (32.0 if tier else 4.0)
    end = start + window.bottom - window.top
    counted = [words.page.format(page=page, pages=len(found))] if len(found) > 1 else []
    lines = [*counted, *(part for line in _continued(layout, found, page, words) for part in wrap(line, PAGE_WIDE - 8, 13, 6))]
    drawing = _inner([*parts, *_tier_names(layout, window, names)], window, start) + _notes(layout, window, start)
    inside = _head(layout, heads, window) + tier + drawing + _foot(lines, end + 16)
    return inside, (0.0, 0.0, PAGE_WIDE, end + 8 + _FOOT_LINE * len(lines))


def pages(layout: Layout, heads: Sequence[Piece], parts: Sequence[Piece], words: Words) -> list[tuple[str, View]]:
    """Every page as markup with its view box; ``parts`` are all but the endings, which are drawn with their boxes."""
    foot = 24.0
    for _ in range(4):
        found = windows(layout, foot)
        cut = [_page(layout, heads, parts, found, page, words) for page in range(1, len(found) + 1)]
        over = max(view[3] for _, view in cut) - PAGE_HIGH
        if over <= 0:
            break
        foot += over
    return cut
