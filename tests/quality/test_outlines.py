"""Points and outlines as they are typed: read, checked, measured."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.quality.outlines import Corner, area_a, area_is_far_off, middle, read_outline
from lots.trade.language import Refused

SQUARE = "35.0000, 135.0000\n35.0000, 135.0010\n35.0010, 135.0010\n35.0010, 135.0000"


def test_one_line_is_a_point_without_area() -> None:
    assert read_outline("35.0112, 135.7681") == (Corner(35.0112, 135.7681),)
    assert area_a(read_outline("35.0112 135.7681")) == 0


def test_a_closed_outline_is_the_open_one() -> None:
    assert read_outline(f"{SQUARE}\n35.0000, 135.0000\n") == read_outline(SQUARE)


@pytest.mark.parametrize(("typed", "match"), [
    ("35.0, 135.0\n35.1, 135.1", "at least three corners"),
    ("35.0, 135.0\n35.0, 135.0", "at least three corners"),
    ("here", "Line 1 is no pair"),
    ("35.0, 135.0\n35.1\n35.2, 135.1", "Line 2 is no pair"),
    ("135.0, 35.0", "Latitude comes first"),
    ("35.0, 181.0", "longitude from -180 to 180"),
    ("35.000, 135.000\n35.001, 135.001\n35.001, 135.000\n35.000, 135.001", "crosses the side after corner"),
    ("35.000, 135.000\n35.001, 135.001\n35.002, 135.002", "enclose nothing"),
    ("\n".join("35.0, 135.0" for _ in range(203)), "fit"),
])
def test_what_is_no_outline_is_refused_in_both_languages(typed: str, match: str) -> None:
    with pytest.raises(Refused, match=match) as caught:
        read_outline(typed)
    assert caught.value.japanese


def test_a_square_of_a_thousandth_of_a_degree() -> None:
    # The same figure by the formula for the area between two parallels: R2 (sin b - sin a) (d - c).
    exact = 6_371_008.8**2 * (math.sin(math.radians(35.001)) - math.sin(math.radians(35.0))) * math.radians(0.001) / 100
    assert area_a(read_outline(SQUARE)) == pytest.approx(exact, rel=1e-6)


@given(st.floats(-60, 60), st.floats(-179, 179), st.floats(20, 200), st.floats(20, 200))
def test_a_rectangle_measures_its_sides(lat: float, lon: float, high_m: float, wide_m: float) -> None:
    up = math.degrees(high_m / 6_371_008.8)
    over = math.degrees(wide_m / 6_371_008.8 / math.cos(math.radians(lat + up / 2)))
    corners = [Corner(lat, lon), Corner(lat, lon + over), Corner(lat + up, lon + over), Corner(lat + up, lon)]
    assert area_a(corners) == pytest.approx(high_m * wide_m / 100, rel=1e-4)
    assert area_a(corners[::-1]) == pytest.approx(area_a(corners))
    assert middle(corners).lat == pytest.approx(lat + up / 2)


def test_a_typed_area_that_is_far_off_is_seen() -> None:
    assert area_is_far_off(9.0, 90.0)
    assert area_is_far_off(9.0, 6.0)
    assert not area_is_far_off(9.0, 8.0)
    assert not area_is_far_off(9.0, 0.0)


def test_a_place_has_a_middle() -> None:
    with pytest.raises(ValueError, match="at least one"):
        middle([])
