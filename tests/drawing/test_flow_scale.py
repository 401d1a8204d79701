"""Widths of the flow drawing are kilograms: what comes to a bar is as wide as what leaves it."""

from __future__ import annotations

import itertools
import re
from math import isfinite

import pytest
from hypothesis import given

from lots.drawing import flow_tall, flow_wide
from lots.drawing.flow import PAPER, RIBBON_HIGH, WIDE, flow_paper
from lots.drawing.flow import flow_tall as draw_tall
from lots.drawing.flow import flow_wide as draw_wide
from lots.drawing.flow_plan import plan, scale_bar
from lots.drawing.flow_tall_parts import PHONE, SHEET, Frame
from lots.drawing.labels import Label
from lots.drawing.words import ENGLISH
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.weighing import Verdict
from tests.drawing import reading
from tests.drawing.seasons import SEASONS, demo, packed


def edges(d: str) -> tuple[float, float]:
    """Upper and lower edge of a filled branch where it leaves its bar."""
    points = reading.line(d)
    return points[0][1], points[-1][1]


def test_the_demo_season_closes_at_every_bar_as_drawn() -> None:
    root = reading.parsed(draw_wide(demo(), "a"))
    bars = [float(e.get("x", 0)) + 3 for e in reading.elements(root, "rect", "ink")]
    ribbons = [tuple(float(e.get(k, 0)) for k in ("x", "width", "height")) for e in reading.elements(root, "rect", "flow")]
    drawn = plan(demo(), RIBBON_HIGH)
    for bar, station in zip(bars, drawn.stations, strict=True):
        into = sum(high for x, wide, high in ribbons if abs(x + wide - bar) < 1) + station.entering_px
        out = sum(high for x, _, high in ribbons if abs(x - bar) < 1)
        for path in (e for c in ("flow", "hat", "loss") for e in reading.elements(root, "path", c)):
            top, bottom = edges(path.get("d", ""))
            if abs(reading.line(path.get("d", ""))[0][0] - bar) < 0.1 and bottom - top > 2.5:
                out += bottom - top
        out += sum(s.true_px for s in station.leaving if s.thin or s.dashed)
        assert into == pytest.approx(out, abs=0.5)


@given(SEASONS)
def test_what_closes_in_kilograms_closes_in_width(season: SeasonFlow) -> None:
    drawn = plan(season, RIBBON_HIGH)
    known = {s.name for s in season.stages if all(isfinite(x.dry_mg) for x in s.streams)}
    for station in drawn.stations:
        if station.name in known and all(s.name not in known or s.input_mg >= 0 for s in season.stages if s.name == station.name):
            gap = station.input_px + station.entering_px - station.out_px
            assert abs(gap) <= 0.5 or [s.name for s in season.stages].count(station.name) > 1


@given(SEASONS)
def test_nothing_is_wider_than_the_drawing_allows(season: SeasonFlow) -> None:
    for station in plan(season, RIBBON_HIGH).stations:
        assert max(station.out_px, station.input_px + station.entering_px) <= RIBBON_HIGH + 1e-6


@given(SEASONS)
def test_between_two_bars_what_waits_or_joins_makes_up_the_difference(season: SeasonFlow) -> None:
    stations = plan(season, RIBBON_HIGH).stations
    for left, right in itertools.pairwise(stations):
        waits, joins = (p.true_px if p else 0.0 for p in (left.waiting, right.stock))
        assert left.main_px - waits + joins == pytest.approx(right.input_px, abs=0.5)


def test_the_ribbon_forks_where_powder_is_not_taken_on() -> None:
    stations = plan(packed(), RIBBON_HIGH).stations
    waiting = stations[-2].waiting
    assert waiting is not None
    assert waiting.mass_mg == pytest.approx(212_185_790 - 78_776_210, abs=10)
    forks = [e for e in reading.elements(reading.parsed(draw_wide(packed(), "a")), "path", "flow") if e.get("d", "").count("A") == 2]
    assert any(abs(edges(e.get("d", ""))[1] - edges(e.get("d", ""))[0] - stations[-2].main_px) < 0.5 for e in forks)


def test_the_scale_bar_is_as_wide_as_it_says() -> None:
    drawn = plan(demo(), RIBBON_HIGH)
    px, kg = scale_bar(drawn.px_per_mg, drawn.decimals)
    assert kg == "100\u00a0kg"
    assert px == pytest.approx(100e6 * drawn.px_per_mg)
    assert 24 <= px <= 80


@pytest.mark.parametrize("mass_mg", [30.0, 450.0, 2e3, 7e5, 3e8, 9e12])
def test_any_mass_has_a_scale_bar_of_a_round_mass(mass_mg: float) -> None:
    px, kg = scale_bar(256 / mass_mg, 1)
    shown = float(re.sub(r"[^\d.]", "", kg)) * 1e6
    assert px == pytest.approx(shown * 256 / mass_mg)
    assert 24 <= px <= 61


def test_a_thin_stream_is_drawn_at_the_least_width_and_starred() -> None:
    wide = flow_wide.lay_out(plan(demo(), RIBBON_HIGH), WIDE, ENGLISH)
    swept = next(f.stub.piece for f in wide.feet if f.stub.piece.strong == "swept up")
    assert swept.true_px < 2.5 == swept.drawn_px
    assert swept.plain == ("0.8\u00a0kg\u00a0*",)
    assert wide.scale is not None
    assert ENGLISH.thin in wide.scale.words


def test_streams_of_nothing_are_left_out_but_a_verdict_is_not() -> None:
    streams = (Stream("leaf", Branch.MAIN, 5e6), Stream("stem", Branch.BY_PRODUCT, 0.0),
               Stream("", Branch.UNEXPLAINED, 0.0, 0.0, Verdict.CANNOT))
    words = reading.words(reading.parsed(draw_wide(SeasonFlow((StageFlow("Oven", "", "in", 5e6, streams),)), "a")))
    assert "stem" not in words
    assert "cannot be judged" in words


def test_a_sum_that_is_not_known_is_said_and_dotted() -> None:
    streams = (Stream("leaf", Branch.MAIN, 5e6), Stream("", Branch.UNEXPLAINED, float("nan"), None, Verdict.CANNOT))
    season = SeasonFlow((StageFlow("Oven", "", "fresh leaf", 8e6, streams),))
    for markup in (draw_wide(season, "a"), draw_tall(season, "a"), flow_paper(season, "a")):
        root = reading.parsed(markup)
        assert reading.elements(root, "path", "edge", "out")
        assert "nan" not in markup.lower()
        assert any("cannot be judged" in w for w in reading.words(root))


def test_too_much_enters_from_above_and_missing_leaves_downward() -> None:
    wide = flow_wide.lay_out(plan(demo(), RIBBON_HIGH), WIDE, ENGLISH)
    (entry,) = wide.entering
    assert entry.label.top < wide.top
    assert entry.piece.strong == "2.6\u00a0kg\u00a0* too much: Shelf"
    assert "\u2212" not in entry.piece.strong
    lost = [f for f in wide.feet if f.stub.piece.strong.startswith("not found")]
    assert len(lost) == 4
    assert all(f.foot > wide.top for f in lost)


def test_a_wide_empty_stub_has_two_dashed_edges_to_scale() -> None:
    streams = (Stream("leaf", Branch.MAIN, 60e6), Stream("", Branch.UNEXPLAINED, 40e6, 1e6, Verdict.STOP))
    root = reading.parsed(draw_wide(SeasonFlow((StageFlow("Oven", "", "in", 100e6, streams),)), "a"))
    (stub,) = reading.elements(root, "path", "miss")
    xs = [x for x, _ in reading.line(stub.get("d", ""))]
    assert stub.get("d", "").count("M") == 2
    assert max(xs) - sorted(set(xs))[-2] == pytest.approx(0.4 * RIBBON_HIGH, abs=0.1)


def test_lowest_slice_turns_first_and_hangs_longest() -> None:
    wide = flow_wide.lay_out(plan(demo(), RIBBON_HIGH), WIDE, ENGLISH)
    bar = wide.places.bars[1]
    own = sorted((f for f in wide.feet if f.stub.bar == bar), key=lambda f: f.stub.left)
    assert [f.stub.piece.strong.split("\u00a0")[0] for f in own] == ["vein and stem", "fines", "off-colour", "swept up", "not found 6.4"]
    assert [f.stub.top for f in own] == sorted((f.stub.top for f in own), reverse=True)
    assert [f.foot for f in own] == sorted((f.foot for f in own), reverse=True)


@pytest.mark.parametrize("frame", [PHONE, SHEET])
def test_the_tall_drawing_has_the_same_slices(frame: Frame) -> None:
    drawn = plan(packed(), frame.ribbon)
    tall = flow_tall.lay_out(drawn, frame, ENGLISH)
    said = {w for label in tall.labels() for w in ("".join(label.strong), "".join(label.plain))}
    beside = [s for s in drawn.slices() if s not in [m for st in drawn.stations for m in st.mains]]
    assert len(tall.arms) == len(beside)
    assert len(tall.captions) == 1 + sum(len(s.mains) for s in drawn.stations)
    assert len(said) > 10


def labels_of(season: SeasonFlow, width: float) -> list[Label]:
    return flow_wide.lay_out(plan(season, RIBBON_HIGH), width, ENGLISH).labels()


def test_the_demo_season_is_no_wider_than_the_page_and_fits_paper() -> None:
    assert flow_wide.lay_out(plan(demo(), RIBBON_HIGH), WIDE, ENGLISH).places.width == pytest.approx(WIDE)
    root = reading.parsed(flow_paper(demo(), "p"))
    _, _, wide, high = (float(v) for v in root.get("viewBox", "").split())
    assert wide == PAPER
    assert root.get("width") == "178mm"
    # 13 units is the smallest type: 178 mm are 504.6 pt.
    assert 13 * 504.6 / wide >= 8
    assert high * 178 / wide < 240


def test_even_six_stages_fit_a_portrait_sheet() -> None:
    root = reading.parsed(flow_paper(packed(), "p"))
    _, _, wide, high = (float(v) for v in root.get("viewBox", "").split())
    assert high * 178 / wide < 240


@pytest.mark.parametrize("width", [800.0, 1040.0])
def test_a_broad_branch_of_the_last_stage_stays_within_the_drawing(width: float) -> None:
    mass_mg = demo().stages[2].input_mg
    shelf = Stream("still there", Branch.SHELF, mass_mg)
    last = StageFlow("Shelf", "", "refined leaf", mass_mg, (shelf,))
    season = SeasonFlow((*demo().stages[:2], last))
    laid = flow_wide.lay_out(plan(season, RIBBON_HIGH), width, ENGLISH)
    assert laid.feet
    assert all(foot.stub.right <= laid.places.width for foot in laid.feet)
