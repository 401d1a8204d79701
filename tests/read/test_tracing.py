"""Traces both ways: against a graph that a library walks, on the demo season; and tiers, bounds and packs in a small mill."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal

import networkx as nx
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lots.models import Flow, HarvestFlush, Lot, Step
from lots.read.trace_records import Trace
from lots.read.tracing import trace, trace_lots
from lots.record.dispatch import Packs
from lots.record.lines import Moisture
from lots.trade.lineage import Tier
from tests import factories


def graph_of_book() -> nx.DiGraph:
    """Every step with what it took, straight from the lines: in a run a step holds whatever was loaded before it."""
    graph = nx.DiGraph()
    runs: dict[int, list[int]] = defaultdict(list)
    for step, first in Step.objects.values_list("pk", "continues_id"):
        runs[first or step].append(step)
        graph.add_node(step)
    for flow in Flow.objects.filter(kind="in").select_related("lot", "step"):
        dry = flow.mass_mg * (1 - float(flow.moisture_frac or 0))
        for step in runs[flow.step.run_id]:
            if step >= flow.step_id:
                before = graph.get_edge_data(flow.lot.step_id, step, {"dry": 0.0})["dry"]
                graph.add_edge(flow.lot.step_id, step, dry=before + dry)
    return graph


def shares_in(graph: nx.DiGraph, step: int, harvests: set[int]) -> dict[int, float]:
    """The share of each harvest, carried down in order of time."""
    held: dict[int, dict[int, float]] = {}
    for node in nx.topological_sort(graph.subgraph([*nx.ancestors(graph, step), step])):
        inputs = {source: data["dry"] for source, _, data in graph.in_edges(node, data=True)}
        whole = sum(inputs.values())
        held[node] = {node: 1.0} if node in harvests else defaultdict(float)
        for source, dry in inputs.items():
            for harvest, share in held[source].items():
                held[node][harvest] += share * dry / whole
    return dict(held[step])


class TestSeason:
    def test_every_lot_goes_back_to_the_same_steps_as_in_the_graph(self, season: None) -> None:
        graph, harvests = graph_of_book(), set(HarvestFlush.objects.values_list("pk", flat=True))
        for lot in sampled():
            traced = trace(lot)
            assert traced.back_steps == nx.ancestors(graph, lot.step_id) | {lot.step_id}, lot
            assert {o.harvest: pytest.approx(o.share_frac) for o in traced.origins} == shares_in(graph, lot.step_id, harvests), lot

    def test_every_lot_goes_on_to_the_same_steps_as_in_the_graph(self, season: None) -> None:
        graph = graph_of_book()
        for lot in sampled():
            draws = Flow.objects.filter(lot=lot, kind="in").values_list("step_id", flat=True)
            runs = {Step.objects.get(pk=step).run_id for step in draws}
            later = {s for s in Step.objects.filter(continues__in=runs).values_list("pk", flat=True) if s >= min(draws, default=0)}
            first = set(draws) | later
            expected = first.union(*(nx.descendants(graph, step) for step in first))
            assert holding(trace(lot).forward_steps) == holding(expected), lot

    def test_the_packing_run_of_the_season(self, season: None) -> None:
        traced = trace_lots(Lot.objects.filter(maker_ref="K26-06"))
        assert [(o.plot, o.plot_name, o.cultivar, o.flush_no, o.share_frac) for o in traced.origins] == [("P5", "Long Mist", "Okuyutaka", 1, 1.0)]
        assert [s.name for s in traced.path] == ["H26-LM1", "C26-LM1", "R26-LM1", "J26-06", "S26-06"]
        by_machine = {t.machines: t for t in traced.touched}
        hopper = by_machine["SP5",]
        assert (round(hopper.estimate_mg / 1e6, 2), round(hopper.bound_mg / 1e6, 2)) == (0.31, 0.36)
        assert [o.plot for o in hopper.origins] == ["P2"]
        assert {m for machines in by_machine for m in machines} == {"SP5", "SIEVE1", "FILL1"}
        assert traced.excluded == ()
        assert [(s.pack, s.made_count, s.retained) for s in traced.series] == [("tin", 948, False), ("bag", 109, False), ("tin", 8, True)]

    def test_one_tub_of_pair_five_stands_in_three_tiers(self, season: None) -> None:
        traced = trace(Lot.objects.get(maker_ref="T26-06-5-1"))
        assert [o.plot for o in traced.origins] == ["P5"]
        assert [(t.machines, [o.plot for o in t.origins]) for t in traced.touched if not t.forward] == [(("SP5",), ["P2"])]
        back = [e for e in traced.excluded if not e.forward]
        assert [([o.plot for o in e.origins], {c.machine for c in e.cleaned}) for e in back] == [(["P4"], {"SP5"})]

    def test_a_trace_asks_no_more_of_a_pack_than_of_two_rounds(self, season: None) -> None:
        with CaptureQueriesContext(connection) as seen:
            trace_lots(Lot.objects.filter(maker_ref="K26-06"))
        assert len(seen) <= 75


def holding(steps: set[int] | frozenset[int]) -> set[int]:
    """The steps that took something or made something: the end of a run with nothing left over does neither."""
    return set(Step.objects.filter(pk__in=steps, flows__isnull=False).values_list("pk", flat=True))


def sampled() -> list[Lot]:
    """Three lots of every material."""
    materials = Lot.objects.values_list("material", flat=True).distinct()
    return [lot for m in materials for lot in Lot.objects.filter(material=m).order_by("pk")[:3]]


@pytest.mark.django_db
class TestSmallMill:
    @pytest.fixture(autouse=True)
    def small_mill(self) -> None:
        factories.found_small_mill()

    def two_jobs(self, *between: str, job: str = "J2", plot: str = "P2") -> tuple[Trace, Trace]:
        """Two packings from two plots on the same machines; ``between`` are opened and cleaned after the first."""
        first = factories.chain(job="J1", sent_count=1)
        for machine in between:
            factories.Cleaned(equipment=machine)
        second = factories.chain(plot=plot, job=job, sent_count=1)
        return trace(first.packed[0]), trace(second.packed[0])

    def test_nothing_cleaned_everything_touches(self) -> None:
        first, second = self.two_jobs()
        assert [(t.machines, [o.plot for o in t.origins]) for t in second.touched if not t.forward] == [
            (("FILL1",), ["P1"]), (("SIEVE1",), ["P1"]), (("SP1",), ["P1"])]
        assert second.excluded == ()
        assert {s.tier for s in first.series if s.step != first.step} == {Tier.TOUCHED}

    def test_one_machine_left_uncleaned_is_enough_to_touch(self) -> None:
        _first, second = self.two_jobs("SP1", "FILL1")
        assert [t.machines for t in second.touched if not t.forward] == [("SIEVE1",)]
        assert second.excluded == ()

    def test_excluded_when_every_shared_machine_was_cleaned(self) -> None:
        first, second = self.two_jobs("SP1", "SIEVE1", "FILL1")
        assert second.touched == ()
        assert {c.machine for e in second.excluded if not e.forward for c in e.cleaned} == {"SP1", "SIEVE1", "FILL1"}
        assert {o.plot for e in second.excluded for o in e.origins} == {"P1"}
        assert [s for s in first.series if s.step != first.step] == []

    def test_a_clean_down_that_did_not_open_the_machine_excludes_nothing(self) -> None:
        factories.chain(job="J1", sent_count=1)
        for machine in ("SP1", "SIEVE1", "FILL1"):
            factories.Cleaned(equipment=machine, opened=False)
        second = factories.chain(plot="P2", job="J2", sent_count=1)
        assert len([t for t in trace(second.packed[0]).touched if not t.forward]) == 3

    def test_contact_with_the_same_leaf_is_no_matter(self) -> None:
        leaf = factories.RefinedLeaf()
        factories.mill(leaf, job="J1")
        again = factories.mill(leaf, job="J2")
        assert trace(again.tubs[0]).touched == ()

    def test_a_bound_is_not_known_while_the_run_before_is_not_judged(self) -> None:
        leaf = factories.RefinedLeaf()
        factories.Load(lot=leaf, job="J1")
        factories.Tub(moisture=None)
        factories.Closed()
        other = factories.mill(factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2"))), job="J2")
        traced = trace(other.tubs[0])
        assert [t.bound_mg for t in traced.touched if not t.forward] == [None]
        assert traced.bound_mg is None

    def test_a_blend_has_shares_by_dry_mass(self) -> None:
        leaves = [factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot=p))) for p in ("P1", "P2")]
        tubs = [t for i, leaf in enumerate(leaves) for t in factories.mill(leaf, pair=f"SP{i + 1}", job=f"J{i}", tub_count=i + 1).tubs]
        # Two runs stand on two samples: what comes through is measured anew.
        sieved = factories.Sieved(lots=tubs, moisture=Moisture(Decimal("0.044")))
        traced = trace(sieved)
        assert {o.plot: round(o.share_frac, 6) for o in traced.origins} == {"P1": round(1 / 3, 6), "P2": round(2 / 3, 6)}
        assert sum(w.share_frac for w in traced.ways if w.target == traced.own_key) == pytest.approx(1.0)

    def test_only_what_was_made_of_this_lot_and_not_of_its_neighbour(self) -> None:
        crude = factories.CrudeLeaf()
        factories.RefinedLeaf(lot=crude)
        stem = Lot.objects.get(material="stem")
        assert trace(stem).forward_steps == frozenset()
        assert trace(crude).forward_steps != frozenset()

    def test_packs_gone_with_numbers_and_packs_here(self) -> None:
        story = factories.chain(sent_count=6)
        factories.Sent(packs=[Packs(story.packed[0].code, 2)], consignee="B2", document_no="D-2")
        traced = trace(story.packed[0])
        assert [(s.consignee, s.pack_count, s.first_no, s.last_no, s.document_no) for s in traced.consignments] == [
            ("B1", 6, 1, 6, "D-1"), ("B2", 2, None, None, "D-2")]
        series = traced.series[0]
        assert (series.made_count, series.dispatched_count, series.here_count) == (20, 8, 12)

    def test_a_consignment_that_did_not_happen_is_gone(self) -> None:
        story = factories.chain(sent_count=6)
        factories.TakenBack(step=story.sent.pk)
        traced = trace(story.packed[0])
        assert traced.consignments == ()
        assert (traced.series[0].dispatched_count, traced.series[0].returned_count, traced.series[0].here_count) == (0, 6, 20)

    def test_a_draw_that_did_not_happen_leads_nowhere(self) -> None:
        fresh = factories.FreshLeaf()
        crude = factories.CrudeLeaf(lot=fresh)
        factories.TakenBack(step=crude.step_id)
        assert trace(fresh).forward_steps == frozenset()

    def test_lots_of_two_steps_are_two_traces(self) -> None:
        with pytest.raises(ValueError, match="one step"):
            trace_lots([factories.FreshLeaf(), factories.FreshLeaf()])

    def test_as_many_questions_in_a_book_of_eight_jobs_as_in_one_of_four(self) -> None:
        """None of the machines is ever cleaned, so every job touches every later one."""
        plots = ("P1", "P2", "P3", "P1", "P2", "P3", "P1", "P2")
        stories = [factories.chain(plot=plot, job=f"J{i}", sent_count=1) for i, plot in enumerate(plots[:4])]
        before = max(questions(story.packed[0]) for story in stories)
        stories += [factories.chain(plot=plot, job=f"J{i + 4}", sent_count=1) for i, plot in enumerate(plots[4:])]
        assert max(questions(story.packed[0]) for story in stories) <= before


def questions(lot: Lot) -> int:
    with CaptureQueriesContext(connection) as seen:
        trace(lot)
    return len(seen)
