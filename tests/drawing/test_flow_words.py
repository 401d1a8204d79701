"""Words of the flow drawing never lie on each other, on a stub or across the edge, whatever the season."""

from __future__ import annotations

import pytest
from hypothesis import given

from lots.drawing import flow_tall, flow_wide
from lots.drawing.flow import PAPER, RIBBON_HIGH, WIDE, flow_paper
from lots.drawing.flow import flow_tall as draw_tall
from lots.drawing.flow import flow_wide as draw_wide
from lots.drawing.flow_head import name_bounds
from lots.drawing.flow_plan import plan
from lots.drawing.flow_tall_parts import PHONE, SHEET, Frame
from lots.drawing.labels import Bounds
from lots.drawing.words import ENGLISH, JAPANESE, Words
from lots.trade.season import SeasonFlow
from tests.drawing import reading
from tests.drawing.seasons import SEASONS, demo, packed

MADE = [demo(), packed()]


def wide_words(season: SeasonFlow, width: float, words: Words = ENGLISH) -> tuple[flow_wide.Wide, list[tuple[str, Bounds]]]:
    laid = flow_wide.lay_out(plan(season, RIBBON_HIGH, words), width, words)
    boxes = [(f"{i} {' '.join(label.strong)}", label.bounds) for i, label in enumerate(laid.labels())]
    stations = zip(laid.plan.stations, laid.places.bars, laid.names_foot, strict=True)
    boxes += [(f"stage {i} {s.name}", name_bounds(s, bar, foot)) for i, (s, bar, foot) in enumerate(stations) if s.name or s.note]
    return laid, boxes + ([("scale", laid.scale.bounds)] if laid.scale else [])


def check_wide(season: SeasonFlow, width: float) -> None:
    if not plan(season, RIBBON_HIGH).stations:
        return
    laid, boxes = wide_words(season, width)
    assert reading.clashes(boxes) == []
    for name, (left, top, right, bottom) in boxes:
        assert left >= -0.5, name
        assert top >= -0.5, name
        assert right <= laid.places.width + 0.5, name
        assert bottom <= laid.height + 0.5, name
    stubs = [("stub", (f.stub.left, f.stub.top + f.stub.piece.drawn_px + 12, f.stub.right, f.foot)) for f in laid.feet]
    stubs += [("entry", (e.left, 6.0, e.left + e.piece.drawn_px, laid.top)) for e in laid.entering]
    bars = [("bar", (x - 3, flow_wide.bar_span(s, laid.top)[0], x + 3, flow_wide.bar_span(s, laid.top)[1]))
            for x, s in zip(laid.places.bars, laid.plan.stations, strict=True)]
    assert [(n, s) for n, box in boxes for s, stub in (*stubs, *bars) if reading.overlap(box, stub, 1.0)] == []


@given(SEASONS)
def test_no_words_overlap_in_the_wide_drawing(season: SeasonFlow) -> None:
    check_wide(season, WIDE)
    assert draw_wide(season, "a").startswith("<svg")


@pytest.mark.parametrize("season", MADE)
@pytest.mark.parametrize("width", [PAPER, WIDE, 1400.0])
def test_no_words_overlap_in_the_demo_season(season: SeasonFlow, width: float) -> None:
    check_wide(season, width)
    _, boxes = wide_words(season, width, JAPANESE)
    assert reading.clashes(boxes) == []


@pytest.mark.parametrize("frame", [PHONE, SHEET])
@given(season=SEASONS)
def test_no_words_overlap_in_the_tall_drawing(frame: Frame, season: SeasonFlow) -> None:
    drawn = plan(season, frame.ribbon)
    if not drawn.stations:
        return
    laid = flow_tall.lay_out(drawn, frame, ENGLISH)
    boxes = [(f"{i} {' '.join(label.strong)}", label.bounds) for i, label in enumerate(laid.labels())]
    boxes += [(f"stage {i}", t.bounds) for i, t in enumerate(laid.titles) if t.name or t.note]
    boxes += [("scale", laid.scale.bounds)] if laid.scale else []
    assert reading.clashes(boxes) == []
    for name, (left, top, right, bottom) in boxes:
        assert left >= 0, name
        assert top >= 0, name
        assert right <= frame.width + 0.5, name
        assert bottom <= laid.height, name
    arms = [(a.left + a.piece.drawn_px + 12, a.top, frame.arm_end, a.top + a.piece.drawn_px) for a in laid.arms]
    arms += [(a.left, min(a.bar, a.top), a.left + a.piece.drawn_px, max(a.bar, a.top)) for a in laid.arms]
    assert [(n, a) for n, box in boxes for a in arms if reading.overlap(box, a, 1.0)] == []


@given(SEASONS)
def test_arms_of_the_tall_drawing_do_not_touch(season: SeasonFlow) -> None:
    laid = flow_tall.lay_out(plan(season, PHONE.ribbon), PHONE, ENGLISH)
    ends = [(f"arm {i}", (PHONE.arm_end - 2, a.top, PHONE.arm_end, a.top + a.piece.drawn_px)) for i, a in enumerate(laid.arms)]
    assert reading.clashes(ends) == []
    assert all(a.top >= a.bar for a in laid.arms if not a.comes_in)
    assert all(a.top + a.piece.drawn_px <= a.bar for a in laid.arms if a.comes_in)


@given(SEASONS)
def test_every_form_is_well_formed_and_carries_neither_colour_nor_style(season: SeasonFlow) -> None:
    for markup in (draw_wide(season, "w"), draw_tall(season, "t")):
        root = reading.parsed(markup)
        names = {name for e in root.iter() for name in (*e.attrib, reading.local(e))}
        assert not names & {"style", "stroke", "color", "font-size", "font-family"}
        assert {e.get("fill") for e in root.iter()} <= {None, "url(#w-hatch)", "url(#t-hatch)"}
    assert reading.parsed(flow_paper(season, "p")).get("width") == "178mm"


def test_names_from_the_book_cannot_break_out() -> None:
    season = demo()
    hostile = season.stages[0].__class__("<b>&\"'</b>", "]]>\x00", "<script>", season.stages[0].input_mg, season.stages[0].streams)
    root = reading.parsed(draw_wide(SeasonFlow((hostile,), "</title><script>"), "a", described_by='x" onload="y'))
    assert not reading.elements(root, "script")
    assert "onload" not in root.attrib
    assert "<b>&\"'</b>" in "".join(reading.words(root))


def test_ids_of_two_drawings_on_one_page_differ() -> None:
    pages = [draw_wide(demo(), "a"), draw_tall(demo(), "b"), flow_paper(demo(), "c")]
    found = [i for markup in pages for i in reading.ids(reading.parsed(markup))]
    assert len(found) == len(set(found)) == 6
    for markup in pages:
        root = reading.parsed(markup)
        assert root.get("aria-labelledby") in reading.ids(root)


def test_a_prefix_that_cannot_open_an_id_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot open an id"):
        draw_wide(demo(), "1 a")


def test_the_title_is_the_summary_and_the_twin_is_named() -> None:
    root = reading.parsed(draw_wide(demo(), "a", described_by="figures"))
    assert root.get("role") == "img"
    assert root.get("aria-describedby") == "figures"
    assert reading.elements(root, "title")[0].text == demo().summary


def test_before_anything_is_weighed_the_drawing_says_so() -> None:
    for markup in (draw_wide(SeasonFlow(()), "a"), draw_tall(SeasonFlow(()), "a"), flow_paper(SeasonFlow(()), "a", words=JAPANESE)):
        assert reading.words(reading.parsed(markup)) in ([ENGLISH.no_flow], [JAPANESE.no_flow])
