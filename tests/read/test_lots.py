"""The list of lots: state, leaf, words, order, and how much it asks of the book."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lots.models import Lot
from lots.read.lots import LotRows, State, lots_known, with_words
from lots.record import holding
from lots.record.acts import Act
from lots.trade.weighing import Verdict
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_mill() -> None:
    factories.found_small_mill()


def states() -> dict[str, State]:
    return {row.material: row.state for row in LotRows(lots_known())}


def test_here_used_up_held_and_fetched_back() -> None:
    leaf = factories.RefinedLeaf()
    found = states()
    assert (found["fresh_leaf"], found["crude_leaf"], found["refined_leaf"], found["stem"]) == (
        State.USED, State.USED, State.HERE, State.HERE)
    factories.Held(lot=leaf)
    factories.mill(leaf, tub_count=1)
    found = states()
    assert (found["refined_leaf"], found["tub_powder"], found["stem"]) == (State.HELD, State.HELD, State.HERE)
    holding.fetch_back(Act("D"), lot=leaf.code, reason="stones in it", what_to_do="bring it back")
    assert states()["tub_powder"] is State.FETCHED


def test_leaf_yield_and_verdict_of_a_lot() -> None:
    leaf = factories.RefinedLeaf()
    row = next(r for r in LotRows(lots_known()) if r.code == leaf.code)
    assert (row.plot, row.plot_name, row.cultivar, row.origin_count) == ("P1", "Lantern Terrace", "Saemidori", 1)
    assert row.yield_frac == pytest.approx(0.78, abs=0.002)
    assert row.verdict is Verdict.ADDS_UP
    assert row.z is not None


def test_what_nothing_judges_has_no_verdict() -> None:
    factories.FreshLeaf()
    row = LotRows(lots_known())[0]
    assert (row.verdict, row.z, row.yield_frac) == (None, None, None)


@pytest.mark.parametrize(("text", "found"), [
    ("heron", {"P2"}), ("HERON bend", {"P2"}), ("p2", {"P2"}), ("okuyutaka", {"P2"}), ("saemidori", {"P1"}), ("nowhere", set()),
])
def test_words_of_plot_and_cultivar(text: str, found: set[str]) -> None:
    factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P1"))
    factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2"))
    assert {row.plot for row in LotRows(with_words(lots_known(), text))} == found


def test_words_of_a_code_with_or_without_its_hyphen() -> None:
    lot = factories.FreshLeaf(maker_ref="H26-AA1")
    for text in ("h26-aa", lot.code, f"{lot.code[:3]}-{lot.code[3:]}"):
        assert [row.code for row in LotRows(with_words(lots_known(), text))] == [lot.code], text


def test_order_by_every_column() -> None:
    factories.chain()
    rows = LotRows(lots_known())
    for name in ("name", "material", "opened_at", "mass_mg", "book_mg", "state", "plot_name", "cultivar", "plucked_on"):
        up, down = list(rows.order_by(name)), list(rows.order_by(f"-{name}"))
        assert {r.code for r in up} == {r.code for r in down}
        assert len(up) == Lot.objects.count()
    masses = [row.mass_mg for row in rows.order_by("-mass_mg")]
    assert masses == sorted(masses, reverse=True)
    assert rows.order_by("nonsense").count() == rows.count()


def test_a_page_asks_as_much_as_a_longer_page() -> None:
    factories.chain()
    with CaptureQueriesContext(connection) as few:
        assert len(LotRows(lots_known())[:5]) == 5
    factories.chain(plot="P2", job="J2")
    factories.chain(plot="P3", job="J3")
    with CaptureQueriesContext(connection) as many:
        assert len(LotRows(lots_known())[:25]) == 25
    assert len(many) <= len(few) + 4


def test_a_walk_through_all_reads_block_by_block(monkeypatch: pytest.MonkeyPatch) -> None:
    from lots.read import lots

    factories.chain()
    monkeypatch.setattr(lots, "BLOCK", 4)
    assert [row.code for row in LotRows(lots_known())] == [row.code for row in LotRows(lots_known())[: Lot.objects.count()]]
