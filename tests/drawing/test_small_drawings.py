"""Marks, lengths, the rate chart, the square symbol, the stone, and the helpers that write them."""

from __future__ import annotations

import itertools
import re
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.drawing import marks, svg
from lots.drawing.lengths import lengths_svg
from lots.drawing.metrics import longest, width, wrap
from lots.drawing.paper import on_paper
from lots.drawing.qr import qr_svg
from lots.drawing.rates import RateWords, axis, rate_chart, spread
from lots.drawing.stone import stone_svg
from lots.drawing.words import JAPANESE
from lots.trade.weighing import Verdict
from tests.drawing import reading

WORDS = RateWords("Pair 3: 32.8 g/h, under the limit.")
RUNS = [(400 + 22 * i, 40.5 - 0.2 * i) for i in range(40)]


# marks ---------------------------------------------------------------------------------------------------------------


def test_four_verdicts_have_four_outlines_and_classes() -> None:
    drawn = {v: reading.parsed(marks.mark(v)) for v in Verdict}
    assert len({reading.elements(r, "path")[0].get("d") for r in drawn.values()}) == 4
    assert {v: r.get("class") for v, r in drawn.items()} == {
        Verdict.ADDS_UP: "mark v-closed", Verdict.LOOK: "mark v-look", Verdict.STOP: "mark v-stop", Verdict.CANNOT: "mark v-none",
    }
    assert all(r.get("aria-hidden") == "true" for r in drawn.values())


def test_a_mark_stays_on_its_grid() -> None:
    for d in marks.PATHS.values():
        assert all(-0.1 <= float(n) <= 24 for n in re.findall(r"\d*\.?\d+", d))


def test_a_word_beside_a_mark_is_escaped() -> None:
    assert "<b>&lt;stop&gt;</b>" in marks.mark_with_word(Verdict.STOP, "<stop>")


# helpers -------------------------------------------------------------------------------------------------------------


@given(st.text())
def test_any_words_can_stand_in_a_drawing(words: str) -> None:
    root = reading.parsed(svg.tag("g", svg.text(0, 0, words), title=words))
    kept = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", "", words)
    assert (reading.elements(root, "text")[0].text or "") == kept.replace("\r\n", "\n").replace("\r", "\n")


def test_numbers_are_short_and_never_minus_zero() -> None:
    assert [svg.num(v) for v in (0.0, -0.001, 1.0, 1.25, 100.0, -3.5, 1.005e3)] == ["0", "0", "1", "1.25", "100", "-3.5", "1005"]


@given(st.text(alphabet="ab 漢字-mW.、i\u00a0", max_size=60), st.floats(30, 300))
def test_wrapped_lines_fit_and_lose_no_sign(words: str, room: float) -> None:
    lines = wrap(words, room, 15, limit=99)
    assert longest(lines) <= room + 1e-9
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


def test_too_many_lines_end_in_an_ellipsis() -> None:
    lines = wrap("one two three four five six seven", 60, 15, limit=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert longest(lines) <= 60


def test_a_full_stop_does_not_begin_a_line() -> None:
    assert all(line[0] not in "、。" for line in wrap("石臼、篩。包装、出荷。", 35, 15, 9))


def test_widths_are_an_upper_bound_of_the_paper_face() -> None:
    # Advances of BIZ UDPGothic Bold, read from the font file: "342 kg" 3.94 em, "conventional" 7.32 em, "72.8 kg, 14.7 %" 8.75 em.
    for words, em in (("342 kg", 3.94), ("conventional", 7.32), ("72.8 kg, 14.7 %", 8.75)):
        assert em <= width(words, 1) <= em * 1.06


def test_the_paper_rules_take_plain_faces_only() -> None:
    assert "BIZ UDPGothic" in on_paper()
    with pytest.raises(ValueError, match="not a plain name"):
        on_paper("x'}</style>")


# lengths -------------------------------------------------------------------------------------------------------------


def bars(markup: str) -> list[float]:
    return [float(e.get("width", 0)) for e in reading.elements(reading.parsed(markup), "rect")]


def test_two_lengths_share_one_scale() -> None:
    assert bars(lengths_svg(855e3, 849e3)) == pytest.approx([1000, 1000 * 849 / 855], abs=0.01)
    assert bars(lengths_svg(849e3, 855e3)) == pytest.approx([1000 * 849 / 855, 1000], abs=0.01)
    assert bars(lengths_svg(0, 0)) == [0, 0]


def test_a_tick_shows_how_far_it_usually_comes() -> None:
    root = reading.parsed(lengths_svg(1000, 900, usual_mg=50, words=JAPANESE))
    assert reading.line(reading.elements(root, "path", "ln")[0].get("d", ""))[0][0] == pytest.approx(950)
    assert [e.text for e in reading.elements(root, "span")] == ["入", "出"]
    assert root.get("aria-hidden") == "true"


def test_less_than_nothing_has_no_length() -> None:
    with pytest.raises(ValueError, match="less than nothing"):
        lengths_svg(-1, 0)


# rates ---------------------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=6))
def test_words_beside_levels_keep_apart_and_inside(wishes: list[float]) -> None:
    places = spread(wishes, 17, 0, 150)
    order = sorted(places)
    assert all(b - a >= 17 - 1e-9 for a, b in itertools.pairwise(order))
    assert order[-1] <= 150


@given(st.lists(st.floats(0, 1e5), min_size=1, max_size=20), st.integers(2, 8))
def test_an_axis_holds_its_values_in_round_steps(values: list[float], steps: int) -> None:
    found = axis(values, 0, 100, steps)
    assert found.low <= min(values) + 1e-6
    assert found.high >= max(values) - 1e-6
    assert 1 <= len(found.ticks()) - 1 <= steps


def test_the_chart_shows_every_run_and_three_levels() -> None:
    root = reading.parsed(rate_chart(RUNS, 40.3, 38.3, 36.3, "r", words=WORDS, described_by="t"))
    dots = reading.elements(root, "circle")
    assert len(dots) == len(RUNS)
    xs = [float(e.get("cx", 0)) for e in dots]
    assert xs == sorted(xs)
    assert {"usual 40.3", "look 38.3", "dress 36.3", "last 32.7", "hours since dressing", "g/h"} <= set(reading.words(root))
    assert (root.get("role"), root.get("aria-describedby")) == ("img", "t")


@pytest.mark.parametrize("wide", [340.0, 680.0])
@pytest.mark.parametrize("runs", [RUNS, RUNS[:1], []])
def test_the_chart_keeps_its_words_inside(wide: float, runs: list[tuple[float, float]]) -> None:
    root = reading.parsed(rate_chart(runs, 40.3, 40.2, None, "r", words=WORDS, width=wide))
    _, _, right, bottom = (float(v) for v in root.get("viewBox", "").split())
    for e in reading.elements(root, "text"):
        x, long = float(e.get("x", 0)), width(e.text or "", 15 if "t-b" in e.get("class", "") else 13)
        start = x - {"end": long, "middle": long / 2}.get(e.get("text-anchor", ""), 0.0)
        assert start >= -0.5
        assert start + long <= right + 0.5
        assert 10 <= float(e.get("y", 0)) <= bottom
    assert (WORDS.none in reading.words(root)) is (not runs)


def test_phone_type_is_at_least_twelve_pixels() -> None:
    # A phone of 390 px leaves 330 px beside the margin: 13 units of 340 are 12.6 px there.
    wide = float(reading.parsed(rate_chart(RUNS, 40.3, 38.3, 36.3, "r", words=WORDS)).get("viewBox", "").split()[2])
    assert 13 * 330 / wide >= 12


# symbol and stone ----------------------------------------------------------------------------------------------------

MODULES = st.integers(1, 12).flatmap(lambda n: st.lists(st.lists(st.booleans(), min_size=n, max_size=n), min_size=n, max_size=n))


@given(MODULES)
def test_the_symbol_gives_back_its_modules(modules: list[list[bool]]) -> None:
    root = reading.parsed(qr_svg(modules, 22.5, "q", title="Pack page"))
    found = [[False] * len(modules) for _ in modules]
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", reading.elements(root, "path")[0].get("d", "")):
        for i in range(int(run)):
            found[int(y) - 4][int(x) - 4 + i] = True
    assert found == modules
    side = len(modules) + 8
    assert (root.get("width"), root.get("viewBox"), root.get("shape-rendering")) == ("22.5mm", f"0 0 {side} {side}", "crispEdges")


def test_runs_are_as_few_as_can_be() -> None:
    d = reading.elements(reading.parsed(qr_svg([[True, True, False], [False] * 3, [True] * 3], 9, "q", title="t")), "path")[0].get("d", "")
    assert d == "M4 4h2v1h-2zM4 6h3v1h-3z"


@pytest.mark.parametrize(("modules", "size"), [([], 20), ([[True], [True]], 20), ([[True]], 0)])
def test_a_symbol_must_be_square_and_of_some_size(modules: list[list[bool]], size: float) -> None:
    with pytest.raises(ValueError, match=r"square|wide"):
        qr_svg(modules, size, "q", title="t")


def test_the_stone_has_eight_sectors_of_three_furrows_inside_its_rim() -> None:
    root = reading.parsed(stone_svg())
    points = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", reading.elements(root, "path")[0].get("d", ""))
    assert len(points) == 48
    far = [hypot(float(x) - 20, float(y) - 20) for x, y in points]
    assert max(far) == pytest.approx(18, abs=0.01)
    assert min(far) == pytest.approx(4, abs=0.01)
    assert root.get("aria-hidden") == "true"
