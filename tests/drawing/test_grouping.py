"""A crowded sheet keeps its places and its numbers when boxes are put together."""

from __future__ import annotations

import re

import pytest

from lots.drawing.grouping import grouped, spot_key
from lots.drawing.lineage import lineage_svg
from lots.drawing.words import JAPANESE
from lots.trade.lineage import Ending, LineageSheet, Tier
from lots.trade.weighing import Verdict
from tests.drawing import reading
from tests.drawing.sheets import blend, packing


def stands_for(sheet: LineageSheet) -> int:
    """How many boxes of the full sheet a grouped one accounts for."""
    return sum(int(re.findall(r"\d+", b.title)[0]) if b.key.startswith("group") else 1 for b in sheet.boxes)


def test_a_small_sheet_is_left_alone() -> None:
    assert grouped(packing()) is packing() or grouped(packing()) == packing()


@pytest.mark.parametrize("count", [8, 20, 60])
def test_nothing_is_left_out_without_its_number(count: int) -> None:
    full = blend(count)
    sheet = grouped(full)
    assert len(sheet.boxes) <= 30
    assert stands_for(sheet) == len(full.boxes)
    assert "<svg" in lineage_svg(sheet, "a")


def test_arrows_that_become_one_say_how_many_they_were() -> None:
    sheet = grouped(blend(20))
    plots, leaf = spot_key((Tier.CONTAINS, 0)), spot_key((Tier.CONTAINS, 1))
    (arrow,) = [a for a in sheet.arrows if a.source == plots and a.target == leaf]
    assert (arrow.above, arrow.below) == ("", "20 ways")
    (japanese,) = [a for a in grouped(blend(20), words=JAPANESE).arrows if a.source == plots and a.target == leaf]
    assert japanese.below == "20 本"


def test_a_single_arrow_keeps_its_words() -> None:
    full = blend(20)
    before = next(a for a in full.arrows if a.source == "S0" and a.target == "K0")
    assert before in grouped(full).arrows


def test_the_opened_spot_and_the_scanned_box_keep_their_boxes() -> None:
    spot = (Tier.CONTAINS, 3)
    sheet = grouped(blend(20), opened=spot, link=lambda tier, column: f"?open={tier.name}-{column}")
    assert sum(1 for b in sheet.boxes if b.column == 3 and b.tier is Tier.CONTAINS) == 20
    assert [b.key for b in sheet.boxes if b.scanned] == ["K0"]
    assert next(b for b in sheet.boxes if b.key == spot_key((Tier.CONTAINS, 0))).href == "?open=CONTAINS-0"


def test_a_group_shows_its_worst_verdict() -> None:
    group = next(b for b in grouped(blend(20)).boxes if b.key == spot_key((Tier.CONTAINS, 3)))
    assert group.verdict is Verdict.LOOK
    assert group.lines == ("R26-0 – R26-19",)


def test_different_endings_of_a_group_are_counted() -> None:
    full = blend(20)
    endings = (Ending("P0", "one", "", barred=True), Ending("P1", "two", "", barred=False), Ending("X", "stays", "", barred=True))
    sheet = grouped(LineageSheet(full.columns, full.boxes, full.arrows, endings))
    assert {(e.key, e.strong, e.barred) for e in sheet.endings} == {
        (spot_key((Tier.CONTAINS, 0)), "2 notes, in words below", False), ("X", "stays", True),
    }


def test_a_grouped_sheet_still_draws_level_links() -> None:
    root = reading.parsed(lineage_svg(grouped(blend(40), link=lambda _t, c: f"?{c}"), "a"))
    assert any("40 together" in w for w in reading.words(root)) or "40" in " ".join(reading.words(root))
