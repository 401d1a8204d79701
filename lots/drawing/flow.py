"""The season's flow to scale, in three forms: wide for a desk, tall for a phone, and one of its own for paper."""

from __future__ import annotations

from lots.drawing import flow_tall as tall
from lots.drawing import flow_wide as wide
from lots.drawing.flow_columns import least_width
from lots.drawing.flow_plan import plan
from lots.drawing.flow_tall_parts import PHONE, SHEET
from lots.drawing.paper import on_paper
from lots.drawing.svg import checked_prefix, hatch, picture, text
from lots.drawing.words import ENGLISH, Words
from lots.trade.season import SeasonFlow

WIDE = 1040.0
#: Drawing units across a paper 178 mm wide: its small type (13 units) is then 8.2 pt.
PAPER = 800.0
PAPER_MM = 178.0
RIBBON_HIGH = 256.4


def _empty(prefix: str, class_: str, season: SeasonFlow, described_by: str, words: Words) -> str:
    return picture(text(0, 18, words.no_flow), view=(0, 0, 340, 28), class_=class_, prefix=prefix,
                   title=season.summary or words.no_flow, described_by=described_by)


def flow_wide(season: SeasonFlow, prefix: str, *, described_by: str = "", words: Words = ENGLISH) -> str:
    """The season from left to right, 1040 drawing units wide (more when it needs more; then with the class ``long``).

    ``prefix`` opens the ids and is unique on the page; ``described_by`` is the id of the table that says the same. Widths
    are kilograms of dry matter at one scale. Raises ValueError for a prefix that cannot open an id.
    """
    drawn = plan(season, RIBBON_HIGH, words)
    if not drawn.stations:
        return _empty(prefix, "only-wide", season, described_by, words)
    laid = wide.lay_out(drawn, WIDE, words)
    class_ = "only-wide long" if laid.places.width > WIDE + 1 else "only-wide"
    return picture(hatch(prefix) + wide.body(laid, prefix), view=(0, 0, laid.places.width, laid.height), class_=class_,
                   prefix=prefix, title=season.summary, described_by=described_by)


def flow_tall(season: SeasonFlow, prefix: str, *, described_by: str = "", words: Words = ENGLISH) -> str:
    """The season from top to bottom, 340 drawing units wide, for narrow screens; arguments as for ``flow_wide``."""
    drawn = plan(season, PHONE.ribbon, words)
    if not drawn.stations:
        return _empty(prefix, "only-tall", season, described_by, words)
    laid = tall.lay_out(drawn, PHONE, words)
    return picture(hatch(prefix) + tall.body(laid, prefix), view=(0, 0, PHONE.width, laid.height), class_="only-tall",
                   prefix=prefix, title=season.summary, described_by=described_by)


def flow_paper(season: SeasonFlow, prefix: str, *, described_by: str = "", words: Words = ENGLISH) -> str:
    """The season for a portrait A4 sheet, 178 mm wide, no type under 8 pt; it carries its own rules, in black.

    It runs from left to right where its words find room, else from top to bottom.
    """
    drawn = plan(season, RIBBON_HIGH, words)
    checked_prefix(prefix)
    if drawn.stations and least_width(drawn) <= PAPER:
        laid = wide.lay_out(drawn, PAPER, words)
        inside, high = wide.body(laid, prefix), laid.height
    elif drawn.stations:
        frame = SHEET
        down = tall.lay_out(plan(season, frame.ribbon, words), frame, words)
        inside, high = tall.body(down, prefix), down.height
    else:
        inside, high = text(0, 18, words.no_flow), 28.0
    return picture(on_paper() + hatch(prefix) + inside, view=(0, 0, PAPER, high), class_="only-paper", prefix=prefix,
                   title=season.summary or words.no_flow, described_by=described_by, width=f"{PAPER_MM:g}mm")
