"""On paper the lineage drawing takes as many landscape pages as it needs, and no box is lost or cut."""

from __future__ import annotations

import pytest

from lots.drawing.lineage import lay_out, lineage_paper
from lots.drawing.lineage_boxes import SHEETS
from lots.drawing.lineage_pages import PAGE_HIGH, PAGE_MM, PAGE_WIDE, windows
from lots.drawing.words import JAPANESE
from lots.trade.lineage import LineageSheet
from tests.drawing import reading
from tests.drawing.sheets import blend, packing


def test_a_packing_run_takes_one_page() -> None:
    (page,) = lineage_paper(packing(), "a")
    root = reading.parsed(page)
    assert root.get("width") == "265mm"
    assert not reading.elements(root, "a")
    assert not any("page" in w for w in reading.words(root))


def test_small_type_is_eight_points() -> None:
    for page in lineage_paper(blend(9), "a"):
        wide = float(reading.parsed(page).get("viewBox", "").split()[2])
        assert 13 * PAGE_MM / 25.4 * 72 / wide >= 8


@pytest.mark.parametrize("sheet", [packing(), blend(6), blend(9, 4), blend(25)])
def test_every_box_is_whole_on_a_page(sheet: LineageSheet) -> None:
    layout = next((laid for laid, _ in (lay_out(sheet, f) for f in SHEETS) if laid.width <= PAGE_WIDE - 8), lay_out(sheet, SHEETS[0])[0])
    found = windows(layout)
    assert all(w.right - w.left <= PAGE_WIDE + 2 for w in found)
    for box in sheet.boxes:
        assert any(w.holds(layout, box) for w in found), box.key


@pytest.mark.parametrize("sheet", [blend(9), blend(25)])
def test_pages_fit_their_paper_and_say_what_goes_on_where(sheet: LineageSheet) -> None:
    pages = lineage_paper(sheet, "a")
    roots = [reading.parsed(p) for p in pages]
    assert len(roots) > 1
    for number, root in enumerate(roots, 1):
        said = reading.words(root)
        assert f"page {number} of {len(roots)}" in said
        assert float(root.get("viewBox", "").split()[3]) <= PAGE_HIGH + 1
    said = [w for root in roots for w in reading.words(root)]
    assert {w.split(" page")[0] for w in said if " page " in w} >= {"goes on on", "comes from"}
    assert len({i for root in roots for i in reading.ids(root)}) == len(roots)
    for title in {b.title for b in sheet.boxes if b.title.startswith(("P26", "J26"))}:
        assert any(title in " ".join(reading.words(root)) for root in roots)


def test_pages_speak_the_language_of_the_paper() -> None:
    said = [w for page in lineage_paper(blend(9), "a", words=JAPANESE) for w in reading.words(reading.parsed(page))]
    assert "含む" in said
    assert any("ページへ続く" in w for w in said)
