"""The lineage of a lot: field on the left, packs on the right, and three tiers, from what it contains to what is excluded."""

from __future__ import annotations

from lots.drawing.lineage_around import Way, courses, drawn
from lots.drawing.lineage_arrows import Piece, around_piece, chain_piece, note_piece
from lots.drawing.lineage_boxes import SCREEN, SHEETS, Frame, box_svg
from lots.drawing.lineage_layout import Layout, begin, finish, headings
from lots.drawing.lineage_links import hops
from lots.drawing.lineage_pages import PAGE_MM, PAGE_WIDE, pages
from lots.drawing.lineage_parts import Band
from lots.drawing.metrics import longest, width
from lots.drawing.paper import on_paper
from lots.drawing.ribbons import d
from lots.drawing.svg import path, picture, text
from lots.drawing.words import ENGLISH, Words
from lots.trade.lineage import Box, LineageSheet, Tier

#: Up to which width (drawing units) small type of 13 units is still 12 px when the drawing is at least as many rem wide as its
#: class says; without a class it is 60.
_CLASSES = ((1170.0, None), (1228.0, "w63"), (1404.0, "w72"), (1638.0, "w84"), (2028.0, "w104"))


def tier_names(words: Words) -> dict[Tier, str]:
    """The names of the three tiers."""
    return {Tier.CONTAINS: words.contains, Tier.TOUCHED: words.touched, Tier.EXCLUDED: words.excluded}


def lay_out(sheet: LineageSheet, frame: Frame) -> tuple[Layout, list[Piece]]:
    """Gives everything its place. Returns the layout and the arrows that run around boxes."""
    layout = begin(sheet, frame)
    around = courses(layout)
    finish(layout)
    straights = {c.around.source.column for c in around if c.way is Way.STRAIGHT}
    return layout, [around_piece(drawn(layout, c, straights), c.around.arrow.tier) for c in around]


def reading_order(layout: Layout) -> list[Box]:
    """Boxes stage by stage, in each from top to bottom: the order of the keyboard."""
    return sorted(layout.sheet.boxes, key=lambda b: (b.column, layout.middle(b)))


def heading_pieces(layout: Layout) -> list[Piece]:
    """The names of the stages over their columns, each ruled off."""
    found = []
    for column, lines in enumerate(headings(layout)):
        left, wide = layout.lefts[column], layout.wides[column]
        words = "".join(text(left, layout.head - 12 - 22 * (len(lines) - 1 - i), line, "t-l") for i, line in enumerate(lines))
        rule = path(d("M", left, layout.head, "H", left + wide), "ln")
        found.append(Piece((left, 0, left + max(wide, longest(lines, 19)), layout.head + 1), words + rule))
    return found


def _name_height(band: Band) -> float:
    """A tier's name stands on the first thing of its first two columns, under which it would else hang in the air."""
    tops = [row.y - high / 2 for row in band.rows for column, high in row.heights.items() if column <= 1]
    return band.top + max(min(tops, default=0.0), 0.0) - 12


def band_pieces(layout: Layout, words: Words) -> list[Piece]:
    """The name of each tier, and the faint rule between two."""
    names, found = tier_names(words), []
    for i, band in enumerate(layout.bands):
        y = _name_height(band)
        if i:
            found.append(Piece((0, band.top - 41, layout.width, band.top - 39), path(d("M", 0, band.top - 40, "H", layout.width), "gl")))
        found.append(Piece((0, y - 15, width(names[band.tier]), y + 4), text(0, y, names[band.tier], "t-b")))
    return found


def pieces(layout: Layout, around: list[Piece], words: Words) -> list[Piece]:
    """The whole drawing in parts: tiers, arrows, then boxes in reading order."""
    chains = [chain_piece(layout, c, hops(c, layout.rows)) for c in layout.links.chains]
    boxes = [
        Piece(layout.bounds(b), box_svg(layout.items[b.key], *layout.bounds(b)[:2], links=layout.frame.links), whole=True)
        for b in reading_order(layout)
    ]
    return [*band_pieces(layout, words), *chains, *around, *boxes]


def lineage_svg(sheet: LineageSheet, prefix: str, *, described_by: str = "", words: Words = ENGLISH) -> str:
    """The lineage drawing for a screen.

    ``prefix`` opens the ids and is unique on the page; ``described_by`` is the id of the same in words. Boxes that lead
    somewhere are links, stage by stage; a picture with links inside is a group to readers aloud, one without is an image.
    Raises ValueError for an arrow without two boxes and for a prefix that cannot open an id.
    """
    layout, around = lay_out(sheet, SCREEN)
    notes = [note_piece(layout, n) for n in layout.notes]
    parts = [*heading_pieces(layout), *pieces(layout, around, words), *notes]
    class_ = next((c for most, c in _CLASSES if layout.width <= most), "w140")
    role = "group" if any(b.href for b in sheet.boxes) else "img"
    return picture("".join(p.svg for p in parts), view=(-2, 0, layout.width + 4, layout.height), class_=class_, prefix=prefix,
                   title=sheet.summary, described_by=described_by, role=role)


def lineage_paper(sheet: LineageSheet, prefix: str, *, words: Words = ENGLISH) -> tuple[str, ...]:
    """The lineage drawing for landscape A4, 265 mm wide, no type under 8 pt: as many pages as it needs.

    Each page carries its own rules in black, the stage names, and which boxes go on on which page. Raises as ``lineage_svg``.
    """
    tries = [lay_out(sheet, frame) for frame in SHEETS]
    layout, around = next((laid for laid in tries if laid[0].width <= PAGE_WIDE - 8), tries[0])
    cut = pages(layout, heading_pieces(layout), pieces(layout, around, words), words)
    return tuple(
        picture(on_paper() + inside, view=view, class_="only-paper", prefix=f"{prefix}-{i}", title=sheet.summary,
                width=f"{PAGE_MM:g}mm")
        for i, (inside, view) in enumerate(cut, 1)
    )
