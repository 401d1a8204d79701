"""Bins: lots of one material become one lot; dry mass stays, and where the leaf came from is told by its share."""

from __future__ import annotations

import pytest

from lots.models import Combining, DriedLeafLot, Flow, Lot
from lots.read.balances import node_of
from lots.read.composing import folded_shares, stored_shares
from lots.read.tracing import trace
from lots.read.verifying import verify_book
from lots.record import combining
from lots.record.acts import Act
from lots.record.lines import Weight
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.house import Combined, book_mg, two_plots
from tests.record.asking import expect_question, expect_refusal, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def test_two_lots_of_two_plots_become_one_with_their_shares() -> None:
    lots = two_plots()
    dry = [make.dry_mg(lot) for lot in lots]
    made = Combined(lots=lots)
    assert [book_mg(lot) for lot in lots] == [0, 0]
    shares = {plot: share for _harvest, plot, share in stored_shares(made.step_id)}
    assert shares == pytest.approx({"P1": dry[0] / sum(dry), "P2": dry[1] / sum(dry)})
    assert sorted(stored_shares(made.step_id)) == [pytest.approx(row) for row in sorted(folded_shares(made.step_id))]
    assert make.dry_mg(made) == pytest.approx(sum(dry), rel=2e-5)
    assert node_of(made.step_id).balance.verdict is Verdict.ADDS_UP
    assert DriedLeafLot.objects.filter(lot=made).exists()
    assert verify_book() == []


def test_a_bin_stands_in_the_trace_in_the_column_of_its_material() -> None:
    made = Combined()
    told = trace(made)
    own = told.own
    assert own is not None
    assert (own.stage, own.column) == ("combining", 3)
    assert {stop.stage for stop in told.stops} == {"harvest", "drying", "refining", "combining"}


def test_tubs_that_stand_on_one_sample_keep_it() -> None:
    tubs = make.mill().tubs
    made = Combined(lots=tubs, together=Weight(sum(book_mg(tub) for tub in tubs), "S3"))
    assert made.material == "tub_powder"
    assert len(set(Flow.objects.filter(step=made.step_id).values_list("sample", flat=True))) == 1
    assert verify_book() == []


def test_a_bin_that_weighs_too_little_is_asked_about() -> None:
    lots = [make.RefinedLeaf(), make.RefinedLeaf()]
    asked = {"lots": [lot.code for lot in lots], "together": make.kg("9.00", "S2"), "happened_at": make.next_moment()}
    expect_question(combining.combine, "The bin lost", **asked)
    assert verify_book() == []


def test_what_is_not_a_bin_is_refused() -> None:
    leaf, tub = make.RefinedLeaf(), make.mill().tubs[0]
    at = {"together": make.kg("6.00", "S2"), "happened_at": make.next_moment()}
    assert expect_refusal(combining.combine, "at least two", lots=[leaf.code, leaf.code], **at).field == "lots"
    assert expect_refusal(combining.combine, "write down a blend instead", lots=[leaf.code, tub.code], **at).field == "lots"


def test_a_bin_that_did_not_happen_gives_the_lots_back() -> None:
    made = Combined()
    before = {flow.lot_id: flow.mass_mg for flow in Flow.objects.filter(step=made.step_id, kind=Flow.Kind.IN)}
    take_back(made.step)
    assert {lot: book_mg(Lot.objects.get(pk=lot)) for lot in before} == before
    assert verify_book() == []


def test_lights_out_before_and_after(monkeypatch: pytest.MonkeyPatch) -> None:
    lots = [make.RefinedLeaf(), make.RefinedLeaf()]
    together = Weight(sum(book_mg(lot) for lot in lots), "S2")
    act, asked = Act("A"), {"lots": [lot.code for lot in lots], "together": together, "happened_at": make.next_moment()}
    writes = Writes(monkeypatch)
    writes.break_off(before=5)
    with pytest.raises(LightsOut):
        combining.combine(act, **asked)
    writes.break_off(before=-1)
    assert Combining.objects.count() == 0
    assert combining.combine(act, **asked).lots == combining.combine(act, **asked).lots
    assert Combining.objects.count() == 1
    assert verify_book() == []
