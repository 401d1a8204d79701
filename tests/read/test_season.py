"""The season as a flow: the figures of the demo season, an open run, a correction, a second year."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from lots.models import Flow
from lots.read.season import ORDER, season_year
from lots.read.years import newest_at, nodes_of_year, span_of, years
from lots.record import correcting
from lots.record.acts import Act
from lots.trade.season import Branch, StageFlow
from lots.trade.weighing import Verdict
from tests import factories

#: kg dry; worked out from the season file by hand with a spreadsheet: each mass × (1 - moisture), summed by stage.
SEASON_KG = {
    "Oven": {"in": 582.70, "crude leaf": 495.11, "stem": 79.52, "not found": 8.07},
    "Sorting": {"in": 495.11, "refined leaf": 381.93, "vein and stem": 72.75, "fines": 17.48, "off-colour leaf": 15.71, "swept up": 0.81,
                "not found": 6.43},
    "Shelf": {"in": 381.93, "to the stones": 216.56, "still on the shelf": 167.99, "too much on the shelf": -2.63},
    "Stones": {"in": 216.56, "in tubs": 214.57, "not found": 1.99},
    "Sieve": {"in": 214.57, "through 150\u00a0µm": 212.19, "oversize": 1.72, "not found": 0.66},
    "Packing": {"in": 78.78, "in packs": 77.58, "bulk powder left": 0.51, "retained samples": 0.46, "not found": 0.23},
}


def figures(stage: StageFlow) -> dict[str, float]:
    return {"in": round(stage.input_mg / 1e6, 2), **{s.label: round(s.dry_mg / 1e6, 2) for s in stage.streams}}


def open_at_every_stage(stages: tuple[StageFlow, ...]) -> list[str]:
    """Stages at which what came in is not what left, with what is missing or too much."""
    return [s.name for s in stages if not math.isclose(s.input_mg, sum(x.dry_mg for x in s.streams), abs_tol=1.0)]


class TestSeason:
    def test_the_demo_season_has_the_figures_of_its_drawing(self, season: None) -> None:
        shown = season_year(2026)
        assert {s.name: figures(s) for s in shown.flow.stages} == SEASON_KG
        assert open_at_every_stage(shown.flow.stages) == []

    def test_verdicts_of_the_demo_season_by_stage(self, season: None) -> None:
        shown = season_year(2026)
        assert {stage: shown.totals[stage].balance.verdict for stage in ORDER if shown.totals[stage].judged_count} == {
            "drying": Verdict.ADDS_UP, "refining": Verdict.STOP, "counting": Verdict.STOP, "milling": Verdict.ADDS_UP,
            "sieving": Verdict.ADDS_UP, "packing": Verdict.ADDS_UP,
        }
        assert shown.totals["milling"].worst is Verdict.STOP
        assert shown.totals["milling"].judged_count == 36

    def test_the_season_in_japanese_has_the_same_masses(self, season: None) -> None:
        english, japanese = season_year(2026), season_year(2026, "ja")
        assert [s.input_mg for s in english.flow.stages] == [s.input_mg for s in japanese.flow.stages]
        assert japanese.flow.stages[0].name == "炉"


@pytest.mark.django_db
class TestSmallMill:
    @pytest.fixture(autouse=True)
    def small_mill(self) -> None:
        factories.found_small_mill()

    def test_an_empty_book_has_no_year(self) -> None:
        assert years() == []
        assert newest_at() is None

    def test_what_is_in_the_mill_is_stock_and_not_a_loss(self) -> None:
        leaf = factories.RefinedLeaf()
        factories.Load(lot=leaf)
        factories.Tub()
        factories.Load(lot=leaf)
        shown = season_year(years()[0])
        in_mill = shown.stream_mg("milling", Branch.IN_MILL)
        flows = Flow.objects.filter(step__stage="milling")
        dry = {k: sum(f.mass_mg * (1 - float(f.moisture_frac or 0)) for f in flows if f.kind == k) for k in ("in", "out")}
        assert in_mill == pytest.approx(dry["in"] - dry["out"])
        assert open_at_every_stage(shown.flow.stages) == []
        assert shown.totals["milling"].judged_count == 0

    def test_a_correction_counts_where_its_step_counts(self) -> None:
        leaf = factories.RefinedLeaf()
        before = season_year(years()[0]).stream_mg("refining", Branch.MAIN)
        line = Flow.objects.get(step=leaf.step, lot=leaf)
        correcting.adjust(Act("A", reason="ticket"), step=leaf.step_id, masses_mg={line.pk: line.mass_mg - 100_000})
        after = season_year(years()[0]).stream_mg("refining", Branch.MAIN)
        assert before - after == pytest.approx(100_000 * (1 - float(line.moisture_frac or 0)))

    def test_leaf_of_the_year_before_stands_on_the_shelf_when_the_year_begins(self) -> None:
        leaf = factories.RefinedLeaf()
        shelf = season_year(years()[0]).flow.stages[2]
        later = season_year(years()[0] + 1).flow.stages[2]
        assert later.input_mg == pytest.approx(sum(s.dry_mg for s in shelf.streams if s.branch is Branch.SHELF))
        assert leaf.mass_mg > 0

    def test_a_mass_without_moisture_is_named(self) -> None:
        factories.FreshLeaf(moisture=None)
        assert season_year(years()[0]).unmeasured_mg == 60_000_000

    def test_a_balance_is_of_the_year_in_which_it_happened(self) -> None:
        factories.CrudeLeaf()
        year = years()[0]
        assert [n.stage for n in nodes_of_year(year)] == ["drying"]
        assert nodes_of_year(year - 1) == []

    def test_a_year_begins_at_midnight_of_the_mill(self) -> None:
        first, after = span_of(2026)
        assert timezone.localtime(first).isoformat() == "2026-01-01T00:00:00+09:00"
        assert after - first == dt.timedelta(days=365)

    def test_as_many_questions_for_one_chain_as_for_three(self) -> None:
        factories.chain()
        one = asked_for_season()
        factories.Cleaned()
        factories.chain(plot="P2", job="J2")
        factories.Cleaned()
        factories.chain(plot="P3", job="J3")
        assert asked_for_season() <= one


def asked_for_season() -> int:
    year = years()[0]
    with CaptureQueriesContext(connection) as seen:
        season_year(year)
    return len(seen)
