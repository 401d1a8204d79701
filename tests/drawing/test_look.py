"""Drawings use the classes of the look and nothing else, and their own words exist in both languages."""

from __future__ import annotations

from dataclasses import fields

from hypothesis import given

from lots.drawing.flow import flow_tall, flow_wide
from lots.drawing.lineage import lineage_svg
from lots.drawing.words import ENGLISH, JAPANESE, Words, decimals_for
from lots.trade.lineage import LineageSheet
from lots.trade.season import SeasonFlow
from tests.drawing import reading
from tests.drawing.seasons import SEASONS
from tests.drawing.sheets import SHEETS

FLOW = {"only-wide", "only-tall", "long", "flow", "hat", "ln1", "loss", "usual", "miss", "edge", "out", "ink", "ln", "t-b", "t-s", "t-l"}
LINEAGE = {"t-l", "t-b", "t-s", "ln", "gl", "box", "box2", "thick", "edge", "may", "out", "ink", "w63", "w72", "w84", "w104", "w140"}


@given(SEASONS)
def test_flow_drawings_use_known_classes(season: SeasonFlow) -> None:
    for markup in (flow_wide(season, "a"), flow_tall(season, "a")):
        assert reading.classes(reading.parsed(markup)) <= FLOW


@given(SHEETS)
def test_lineage_drawings_use_known_classes(sheet: LineageSheet) -> None:
    assert reading.classes(reading.parsed(lineage_svg(sheet, "a"))) <= LINEAGE


def holes(pattern: str) -> list[str]:
    return sorted(part.split("}")[0] for part in pattern.split("{")[1:])


def test_both_languages_say_everything_with_the_same_holes() -> None:
    for field in fields(Words):
        english, japanese = getattr(ENGLISH, field.name), getattr(JAPANESE, field.name)
        assert english
        assert japanese
        assert holes(english) == holes(japanese), field.name


def test_decimals_suit_the_size_of_the_season() -> None:
    assert [decimals_for(kg * 1e6) for kg in (20_000, 582.7, 58.77, 0.4, 0.02)] == [0, 1, 2, 3, 6]
