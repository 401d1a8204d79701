"""Yields per plot, grower and year; organic tea never above what its certified leaf can have given."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from lots.models import HarvestFlush
from lots.quality.field_yields import doubts, per_10_a_kg
from lots.read.field_yields import plot_yields
from tests import factories
from tests.desk.conftest import Hands, page


@pytest.fixture
def auditor(hands: Hands) -> Client:
    cache.clear()
    return hands("auditor")


def test_kg_per_10_a() -> None:
    assert per_10_a_kg(496_400_000, 9.0) == pytest.approx(551.56, abs=0.01)
    assert per_10_a_kg(1, 0) is None


def test_what_speaks_against_a_yield() -> None:
    others = {f"P{n}": 500.0 + n for n in range(1, 8)}
    found = doubts({**others, "FAR": 900.0, "LOW": 40.0}, {"P1": 240.0, "P2": 500.0})
    assert (found["P1"].far_from_last, found["P2"].far_from_last) == (True, False)
    assert (found["FAR"].far_from_others, found["FAR"].beyond_range, found["LOW"].beyond_range) == (True, False, True)
    assert [plot for plot, each in found.items() if each.any] == ["P1", "FAR", "LOW"]
    assert not doubts({"A": 500.0, "B": 900.0}, {})["B"].far_from_others, "two plots say nothing of each other"
    assert doubts({}, {}) == {}


@pytest.mark.django_db
def test_leaf_by_plot_and_year_with_its_corrections(mill: None) -> None:
    day = factories.today()
    factories.FreshLeaf(fresh=factories.kg("90.00", "S1", 3))
    factories.FreshLeaf(fresh=factories.kg("30.00", "S1", 3), plucked_on=day.replace(year=day.year - 1, day=1))
    gone = factories.FreshLeaf(plot="P2")
    factories.TakenBack(step=gone.step_id)
    rows = {row.code: row for row in plot_yields(day.year)}
    assert (rows["P1"].mass_mg, rows["P1"].last_mass_mg) == (90_000_000, 30_000_000)
    assert (rows["P1"].kg_per_10_a, rows["P1"].kg_per_ha) == (pytest.approx(100), pytest.approx(1000))
    assert rows["P2"].mass_mg == 0
    assert rows["P1"].doubts is not None
    assert rows["P1"].doubts.far_from_last


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_the_page_names_plots_growers_and_outliers(auditor: Client, django_assert_max_num_queries: Any) -> None:
    factories.FreshLeaf()
    factories.FreshLeaf(plot="P2", fresh=factories.kg("99.00", "S1", 3))
    year = HarvestFlush.objects.latest("pk").plucked_on.year
    with django_assert_max_num_queries(22):
        said = page(auditor.get("/office/yields/", {"year": str(year)}))
    assert "one yield is to be looked at" in said.lower()
    assert "beyond what the trade knows" in said
    assert "Kawasemi household" in said
    assert "Organic tea of" in said


def too_much() -> None:
    """Twelve kilograms of refined leaf from a sixty of fresh: more than it can have held."""
    crude = factories.CrudeLeaf(crude=factories.kg("16.00", "S2"), reason="the scale says so")
    factories.RefinedLeaf(lot=crude, refined=factories.kg("14.00", "S2"), reason="the scale says so")


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_more_organic_tea_than_its_leaf_can_have_given_is_an_alarm(auditor: Client) -> None:
    factories.chain()
    assert "more than chance allows" not in page(auditor.get("/"))
    too_much()
    cache.clear()
    said = page(auditor.get("/"))
    assert "more than chance allows" in said
    assert "more than chance allows" in page(auditor.get("/office/yields/"))


@pytest.mark.django_db
def test_a_house_without_organic_plots_has_no_such_line(auditor: Client) -> None:
    for plot in ("P1",):
        factories.enter("field_plot", plot, name="Lantern Terrace", area_a=Decimal("9.00"), state="conventional", grower="G1")
    factories.FreshLeaf(plot="P2", plucked_on=factories.today() - dt.timedelta(days=1))
    assert "Organic tea of" not in page(auditor.get("/office/yields/"))
