"""The small drawing of a plot's outline."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.drawing.outlines import bar_m, outline
from lots.quality.outlines import read_outline

TYPED = "35.0100, 135.7600\n35.0100, 135.7610\n35.0103, 135.7610\n35.0103, 135.7600"


def test_it_is_whole_and_lies_inside_its_sheet() -> None:
    root = ET.fromstring(outline(read_outline(TYPED), "Outline of plot P1 & more", "words"))  # noqa: S314 - our own text
    ring = next(node.get("points") for node in root.iter() if node.tag.endswith("polygon"))
    _, _, wide, high = map(float, root.get("viewBox").split())
    places = [tuple(map(float, pair.split(","))) for pair in ring.split()]
    assert len(places) == 4
    assert all(0 <= x <= wide and 0 <= y <= high for x, y in places)
    assert places[0][1] > places[2][1], "north is up"
    assert root.get("aria-describedby") == "words"


def test_a_point_has_no_drawing() -> None:
    assert outline(read_outline("35.01, 135.76"), "A point") == ""


@given(st.floats(0.5, 5000))
def test_the_bar_is_round_and_at_most_half_of_the_extent(span_m: float) -> None:
    length = bar_m(span_m)
    assert 0.15 * span_m < length <= span_m / 2 * 1.001
    assert re.fullmatch(r"[125]0*|0\.[125]|0\.[125]\d*", f"{length:g}")


def test_a_span_of_nothing_is_a_mistake_of_the_program() -> None:
    with pytest.raises(ValueError, match="extent"):
        bar_m(0)
