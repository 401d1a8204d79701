"""The table under a drawing says what the drawing says, row for row and figure for figure."""

from __future__ import annotations

import re

import pytest
from hypothesis import given

from lots.drawing.flow import RIBBON_HIGH
from lots.drawing.flow_plan import plan
from lots.drawing.twin import flow_rows, lineage_rows
from lots.drawing.words import JAPANESE
from lots.trade.lineage import Tier
from lots.trade.season import SeasonFlow
from lots.trade.weighing import Verdict
from tests.drawing.seasons import SEASONS, demo, packed
from tests.drawing.sheets import blend, packing


def drawn_mg(season: SeasonFlow) -> list[float]:
    return sorted(s.mass_mg for s in plan(season, RIBBON_HIGH).slices() if s.mass_mg > 0)


@given(SEASONS)
def test_every_slice_has_its_row_and_every_row_its_slice(season: SeasonFlow) -> None:
    rows = [abs(r.dry_mg) for r in flow_rows(season) if not r.first and r.dry_mg]
    assert sorted(rows) == pytest.approx(drawn_mg(season))


@pytest.mark.parametrize("season", [demo(), packed()])
def test_figures_in_the_drawing_are_the_figures_of_the_table(season: SeasonFlow) -> None:
    drawn = plan(season, RIBBON_HIGH)
    said = [m for s in drawn.slices() for w in (s.strong, *s.plain) for m in re.findall(r"([\d,.]+)\u00a0kg", w)]
    table = [r.dry_mg for r in flow_rows(season) if not r.first and r.dry_mg]
    assert sorted(said) == sorted(f"{abs(mg) / 1e6:,.1f}" for mg in table)


def test_the_table_of_the_demo_season() -> None:
    rows = flow_rows(demo())
    assert [(r.what, r.kg, r.part) for r in rows if r.stage == "Oven"] == [
        ("fresh leaf in", "582.70", ""), ("crude leaf", "495.11", "85.0\u00a0%"), ("stem", "79.52", "13.6\u00a0%"),
        ("not found", "+8.07", "1.4\u00a0%"),
    ]
    too_much = next(r for r in rows if r.stage == "Shelf" and r.difference)
    assert (too_much.what, too_much.kg, too_much.verdict) == ("too much: Shelf", "\u22122.63", Verdict.STOP)
    assert [r.stage for r in rows if r.first] == [r.stage for r in rows if r.last] == ["Oven", "Sorting", "Shelf", "Stones", "Sieve"]


def test_columns_of_the_table_add_up() -> None:
    for stage in packed().stages:
        rows = [r for r in flow_rows(packed()) if r.stage == stage.name]
        out = sum(r.dry_mg or 0 for r in rows if not r.first and r.what != "not yet taken on")
        assert out == pytest.approx(rows[0].dry_mg, rel=1e-9)


def test_what_waits_stands_in_the_table_too() -> None:
    assert [r.kg for r in flow_rows(packed()) if r.what == "not yet taken on"] == ["133.41"]
    assert [r.kg for r in flow_rows(packed(), JAPANESE) if r.what == JAPANESE.waiting] == ["133.41"]


def test_every_arrow_has_its_row_in_words() -> None:
    for sheet in (packing(), blend(5)):
        rows = lineage_rows(sheet)
        assert len(rows) == len(sheet.arrows)
        assert sorted(r.above for r in rows) == sorted(a.above for a in sheet.arrows)
        assert [r.tier for r in rows] == sorted((r.tier for r in rows), key=list(Tier).index)
    assert "P5 Long Mist Okuyutaka" in {r.source for r in lineage_rows(packing())}
