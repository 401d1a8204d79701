"""Thousands of acts at random, on the book and on a mill in plain Python: in the end both must say the same."""

from __future__ import annotations

from collections import defaultdict

import networkx as nx
import pytest

from lots.models import Composition, Edge, JournalEntry, Lot, Origin, PackedUnit, Stock
from lots.read.balances import nodes
from lots.read.holding import holds_on_lot
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.read.walking import down, up
from lots.record.deriving import rebuild
from tests.record.asking import derived
from tests.record.plain_mill import UNKNOWN, PlainMill
from tests.record.random_acts import RandomHistory

pytestmark = pytest.mark.usefixtures("mill")
ACT_COUNT = 2_500
SEEDS = {24: ACT_COUNT, 7: 250, 8: 250}


def composition(step: int) -> dict[int, float]:
    """What the book has stored of a step: share by harvest."""
    holder = Origin.objects.filter(pk=step).values("held_by")
    rows = Composition.objects.filter(held_by__in=holder).values_list("harvest_id", "share_frac")
    return {harvest or UNKNOWN: share for harvest, share in rows}


def stock_is_equal(mill: PlainMill) -> None:
    stand = dict(Stock.objects.values_list("lot__code", "book_mg"))
    assert stand == {lot.code: lot.stock_mg for lot in mill.lots.values()}


def edges_are_equal(graph: nx.DiGraph) -> None:
    whole: dict[int, float] = defaultdict(float)
    for _, step, data in graph.edges(data=True):
        whole[step] += data["dry"]
    told = {(source, step): data["dry"] / whole[step] for source, step, data in graph.edges(data=True)}
    stand = {(source, step): share for source, step, share in Edge.objects.values_list("source_id", "step_id", "share_frac")}
    assert stand == pytest.approx(told, abs=1e-9)


def traces_are_equal(graph: nx.DiGraph) -> None:
    """Packs back to their fields and fields forward to their packs, and every packing step both ways."""
    packed = set(PackedUnit.objects.values_list("step_id", flat=True))
    fields = {step for step in graph if graph.in_degree(step) == 0 and graph.out_degree(step) > 0}
    assert packed
    for step in packed | fields:
        assert set(up([step])) - {step} == nx.ancestors(graph, step)
        assert set(down([step])) - {step} == nx.descendants(graph, step)


def shares_are_equal(mill: PlainMill, graph: nx.DiGraph) -> None:
    told = mill.shares(graph)
    for step in {lot.step.id for lot in mill.lots.values()}:
        stand = composition(step)
        if not stand:
            assert told[step] == {UNKNOWN: 1.0}
            continue
        assert sum(stand.values()) == pytest.approx(1, abs=1e-9)
        assert stand == pytest.approx(told[step], abs=1e-9)


def holds_are_equal(mill: PlainMill, graph: nx.DiGraph) -> None:
    held = mill.held(graph)
    assert {lot.code for lot in Lot.objects.all() if holds_on_lot(lot)} == held


def packs_are_equal(mill: PlainMill) -> None:
    for unit in PackedUnit.objects.select_related("lot"):
        packs = mill.lots[unit.lot.code].packs
        state = series_state(unit)
        assert (unit.first_no, unit.last_no, state.here_count) == (packs.first_no, packs.last_no, packs.here_count)
        away = {n for n in range(unit.first_no, unit.last_no + 1) if state.fate_of(n) == "dispatched"}
        assert away == (set() if packs.void else packs.numbers_away)


@pytest.mark.parametrize(("seed", "count"), SEEDS.items())
def test_after_thousands_of_acts_the_book_says_what_the_plain_mill_says(seed: int, count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    before = JournalEntry.objects.count()
    history = RandomHistory(seed, monkeypatch)
    history.play(count)
    mill, graph = history.mill, history.mill.graph()
    assert JournalEntry.objects.count() == before + len(history.sent)
    stock_is_equal(mill)
    edges_are_equal(graph)
    traces_are_equal(graph)
    shares_are_equal(mill, graph)
    holds_are_equal(mill, graph)
    packs_are_equal(mill)
    assert verify_book() == []
    assert all(node.lines for node in nodes())
    stood = derived()
    rebuild()
    assert derived() == stood
    if count == ACT_COUNT:
        everything_happened(history)


def everything_happened(history: RandomHistory) -> None:
    """The long history has every kind of act and every mishap in it, and leaf that was milled a second time."""
    often = {"power cut": 50, "answer lost": 30, "sent again": 80, "asked": 100, "typed again": 25, "refused": 100}
    assert {what for what, least in often.items() if history.told[what] < least} == set()
    kinds = [
        "harvest.intake", "drying.batch", "refining.batch", "milling.load", "milling.tub", "milling.close", "sieving.pass", "packing.run",
        "dispatch.consignment", "counting.shelf", "holding.hold", "holding.release", "correcting.adjust", "correcting.reverse",
        "shading.cover", "treatment.apply", "cleaning.clean", "register.enter",
    ]
    assert {kind for kind in kinds if history.told[kind] < 5} == set()
    steps = history.mill.steps.values()
    poured = {lot.material for step in steps if step.stage == "milling" for lot, mass in step.draws.items() if mass > 0}
    assert poured == {"refined_leaf", "left_over", "oversize"}
    assert any(len({lot.step for lot in step.draws}) > 1 for step in steps if step.stage == "packing")
    assert max(len(shares) for shares in history.mill.shares(history.mill.graph()).values()) >= 5
