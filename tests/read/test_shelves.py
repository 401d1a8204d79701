"""Many stock counts at once give the same lines as one by one, and a count that was taken back is no beginning."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lots.models import StockCount
from lots.read.balances import count_nodes, nodes_of_counts, standing_counts
from lots.read.counting import lines_of_count
from lots.read.shelves import lines_of_counts
from lots.record.lines import Weight
from tests import factories


def counts() -> list[StockCount]:
    return list(standing_counts().select_related("lot", "step", "scale").order_by("pk"))


class TestSeason:
    def test_the_counts_of_the_season_line_by_line(self, season: None) -> None:
        rows = counts()
        together = lines_of_counts(rows, standing_counts())
        assert len(rows) == 6
        assert {c.pk: together[c.pk] for c in rows} == {c.pk: lines_of_count(c) for c in rows}


@pytest.mark.django_db
class TestSmallMill:
    @pytest.fixture(autouse=True)
    def small_mill(self) -> None:
        factories.found_small_mill()

    def test_a_second_count_begins_at_the_first(self) -> None:
        leaf = factories.RefinedLeaf()
        factories.Counted(lot=leaf)
        factories.mill(leaf)
        factories.Counted(lot=leaf)
        rows = counts()
        together = lines_of_counts(rows, standing_counts())
        assert {c.pk: together[c.pk] for c in rows} == {c.pk: lines_of_count(c) for c in rows}
        assert [n.balance.verdict.value for n in nodes_of_counts(rows)] == ["adds up", "adds up"]

    def test_a_count_that_was_taken_back_is_not_shown_and_no_beginning(self) -> None:
        leaf = factories.RefinedLeaf()
        wrong = factories.Counted(lot=leaf, counted=Weight(leaf.mass_mg - 2_000_000, "S2"), reason="so it was weighed")
        factories.TakenBack(step=wrong.pk)
        factories.Counted(lot=leaf)
        rows = counts()
        assert len(rows) == 1
        assert [line.mass_mg for line in lines_of_counts(rows, standing_counts())[rows[0].pk] if line.label == "refined_leaf"] == [leaf.mass_mg]

    def test_as_many_questions_for_one_count_as_for_five(self) -> None:
        factories.Counted()
        with CaptureQueriesContext(connection) as one:
            count_nodes({"counting"}, None)
        for _ in range(4):
            factories.Counted()
        with CaptureQueriesContext(connection) as five:
            assert len(count_nodes({"counting"}, None)) == 5
        assert len(five) <= len(one)

    def test_no_count_no_question(self) -> None:
        assert lines_of_counts([], standing_counts()) == {}
