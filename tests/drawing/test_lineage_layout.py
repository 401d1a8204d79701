"""The lineage drawing lays out any sheet so that boxes, words and arrows keep clear of each other."""

from __future__ import annotations

import pytest
from hypothesis import given

from lots.drawing.labels import Bounds
from lots.drawing.lineage import lay_out, lineage_svg, reading_order
from lots.drawing.lineage_around import Way, courses
from lots.drawing.lineage_arrows import chain_piece, hop_words, note_bounds
from lots.drawing.lineage_boxes import SCREEN
from lots.drawing.lineage_layout import Layout, begin, finish
from lots.drawing.lineage_links import hops
from lots.drawing.metrics import width
from lots.trade.lineage import Arrow, LineageSheet, Tier
from tests.drawing import reading
from tests.drawing.sheets import COLUMNS, SHEETS, blend, packing


def boxes_of(layout: Layout) -> list[tuple[str, Bounds]]:
    return [(b.key, layout.bounds(b)) for b in layout.sheet.boxes]


def hop_labels(layout: Layout) -> list[tuple[str, Bounds]]:
    found = []
    for n, chain in enumerate(layout.links.chains):
        for column, hop in hops(chain, layout.rows):
            for x, y, words in hop_words(layout, column, hop) if hop.worded else []:
                half = width(words, 13) / 2
                found.append((f"{n} {words}", (x - half, y - 11, x + half, y + 3)))
    return found


def arrow_lines(sheet: LineageSheet) -> list[list[reading.Point]]:
    root = reading.parsed(lineage_svg(sheet, "a"))
    return [reading.line(e.get("d", "")) for e in reading.elements(root, "path", "edge")]


def check(sheet: LineageSheet) -> None:
    layout, _ = lay_out(sheet, SCREEN)
    boxes, words = boxes_of(layout), hop_labels(layout)
    assert reading.clashes(boxes) == []
    assert reading.clashes(words) == []
    assert [(a, b) for a, one in boxes for b, other in words if reading.overlap(one, other)] == []
    assert [key for line in arrow_lines(sheet) for key, box in boxes if reading.crosses(line, box)] == []
    notes = [(f"note {i}", note_bounds(layout, n)) for i, n in enumerate(layout.notes)]
    assert reading.clashes([*boxes, *notes]) == []
    for _, (left, top, right, bottom) in (*boxes, *notes):
        assert left >= 0
        assert top >= layout.head
        assert right <= layout.width + 1
        assert bottom <= layout.height


@given(SHEETS)
def test_any_sheet_keeps_boxes_arrows_and_words_apart(sheet: LineageSheet) -> None:
    check(sheet)


@pytest.mark.parametrize("sheet", [packing(), blend(3), blend(6), blend(9, 4)])
def test_sheets_of_the_trade_keep_apart(sheet: LineageSheet) -> None:
    check(sheet)


def test_words_of_an_arrow_are_not_crossed_by_another_arrow_along_its_tier() -> None:
    for sheet in (packing(), blend(6), blend(9, 4)):
        layout, _ = lay_out(sheet, SCREEN)
        labels = hop_labels(layout)
        lines = [reading.line(chain_piece(layout, c, hops(c, layout.rows)).svg.split(' d="')[1].split('"')[0]) for c in layout.links.chains]
        assert [name for line in lines for name, box in labels if reading.crosses(line, box, 3.0)] == []


def test_a_plain_chain_runs_level() -> None:
    layout, _ = lay_out(packing(), SCREEN)
    for tier in Tier:
        heights = {round(layout.middle(b), 1) for b in packing().boxes if b.tier is tier and b.column < 7}
        assert len(heights) == 1


def test_tiers_stand_in_their_order_and_columns_keep_their_places() -> None:
    layout, _ = lay_out(packing(), SCREEN)
    assert [b.tier for b in layout.bands] == list(Tier)
    assert all(a.bottom <= b.top for a, b in zip(layout.bands, layout.bands[1:], strict=False))
    assert layout.lefts == sorted(layout.lefts)
    words = reading.words(reading.parsed(lineage_svg(packing(), "a")))
    assert [w for w in words if w in COLUMNS] == list(COLUMNS)


def test_contact_runs_straight_up_where_the_way_is_clear_and_around_where_not() -> None:
    layout = begin(packing(), SCREEN)
    assert [c.way for c in courses(layout)] == [Way.STRAIGHT]
    ways = {(c.around.source.key, c.around.target.key): c.way for c in courses(begin(blend(3), SCREEN))}
    assert ways[("S0", "J1")] is Way.LANE
    assert ways[("J0", "J1")] is Way.BESIDE
    assert ways[("T1", "K0")] is Way.LANE


def test_strokes_tell_the_tiers_apart_without_colour() -> None:
    root = reading.parsed(lineage_svg(packing(), "a"))
    assert len(reading.elements(root, "path", "edge", "may")) == 1
    assert len(reading.elements(root, "path", "edge", "out")) == 1
    assert len(reading.elements(root, "path", "edge")) == len(packing().arrows) + 1


def test_the_scanned_box_has_a_thick_double_frame() -> None:
    root = reading.parsed(lineage_svg(packing(), "a"))
    assert len(reading.elements(root, "rect", "thick", "box")) == len(reading.elements(root, "rect", "box2")) == 1


def test_boxes_are_links_stage_by_stage() -> None:
    sheet = packing()
    root = reading.parsed(lineage_svg(sheet, "a", described_by="words"))
    links = [e.get("href") for e in reading.elements(root, "a")]
    layout, _ = lay_out(sheet, SCREEN)
    assert links == [b.href for b in reading_order(layout)]
    columns = [b.column for b in reading_order(layout)]
    assert columns == sorted(columns)
    assert (root.get("role"), root.get("aria-describedby")) == ("group", "words")


def test_a_sheet_without_links_is_an_image() -> None:
    sheet = LineageSheet(COLUMNS, tuple(b.__class__(b.key, b.column, b.title, b.lines, b.tier) for b in packing().boxes), (), ())
    assert reading.parsed(lineage_svg(sheet, "a")).get("role") == "img"


def test_a_long_name_takes_two_lines_and_keeps_all_its_words_as_title() -> None:
    name = "Example Importer of the Northern and the Southern Valley and of all the islands"
    first = packing().boxes[0]
    long = first.__class__("long", 7, name, (), Tier.CONTAINS)
    root = reading.parsed(lineage_svg(LineageSheet(COLUMNS, (long,), ()), "a"))
    lines = [w for w in reading.words(root) if w not in (*COLUMNS, "Contains")]
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert name in [t.text for t in reading.elements(root, "title")]


def test_an_arrow_needs_two_boxes_of_the_sheet() -> None:
    sheet = packing()
    lost = LineageSheet(sheet.columns, sheet.boxes, (Arrow("P5", "nowhere", Tier.CONTAINS),))
    with pytest.raises(ValueError, match="does not join two boxes"):
        lineage_svg(lost, "a")


@given(SHEETS)
def test_any_sheet_is_well_formed_without_colour_or_style(sheet: LineageSheet) -> None:
    markup = lineage_svg(sheet, "a")
    root = reading.parsed(markup)
    assert reading.ids(root) == ["a-title"]
    assert "style" not in {name for e in root.iter() for name in (*e.attrib, reading.local(e))}


def test_finish_keeps_every_tier_that_has_boxes() -> None:
    layout = begin(LineageSheet(COLUMNS, packing().boxes[:3], ()), SCREEN)
    courses(layout)
    finish(layout)
    assert [b.tier for b in layout.bands] == [Tier.CONTAINS]
