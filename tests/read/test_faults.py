"""What does not add up, laid side by side: the planted faults of the demo season, and small stories that must not be joined."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lots.read.balances import BalanceNode
from lots.read.faults import Together, answer, as_read_mg, faults, residual_mg
from lots.read.years import nodes_of_year
from lots.trade.weighing import Verdict


def the_two(season_nodes: list[BalanceNode]) -> list[BalanceNode]:
    return [n for n in season_nodes if n.balance.verdict is Verdict.STOP]


class TestSeason:
    @pytest.fixture
    def nodes(self, season: None) -> list[BalanceNode]:
        return nodes_of_year(2026)

    def test_four_alarms_of_the_season_are_two_matters(self, nodes: list[BalanceNode]) -> None:
        found = faults(nodes)
        assert [(f.together, f.lot, [n.name for n in f.nodes]) for f in found] == [
            (Together.READING, "R26-SG1", ["R26-SG1", "R26-SG1"]),
            (Together.CARRIED, "R26-HB1", ["J26-05 SP5", "J26-06 SP5"]),
        ]
        assert [f.at_risk_mg for f in found] == [43_690_000, 14_015_000]
        assert {f.verdict for f in found} == {Verdict.STOP}

    def test_how_much_leaf_stayed_on_pair_five(self, nodes: list[BalanceNode]) -> None:
        carried = faults(nodes)[1]
        assert carried.carried is not None
        # The season's own truth is 0.310 kg of leaf; its makers worked out 0.301 ± 0.022 kg dry.
        assert carried.carried.carried_mg / 1e6 == pytest.approx(0.301, abs=0.001)
        assert carried.carried.u_mg / 1e6 == pytest.approx(0.022, abs=0.001)
        assert as_read_mg(carried.nodes[0], carried.carried.carried_mg) / 1e6 == pytest.approx(0.310, abs=0.005)
        assert carried.left_over_mg == 0
        assert not carried.cleaned_between

    def test_the_size_of_the_transposed_weighing(self, nodes: list[BalanceNode]) -> None:
        sorting, shelf = faults(nodes)[0].nodes
        assert residual_mg(sorting) / 1e6 == pytest.approx(2.381, abs=0.002)
        assert residual_mg(shelf) / 1e6 == pytest.approx(-2.621, abs=0.002)
        assert answer(sorting, shelf)

    def test_residuals_that_do_not_cancel_stand_alone(self, nodes: list[BalanceNode]) -> None:
        sorting, shelf, *_ = the_two(nodes)
        larger = replace(shelf, balance=replace(shelf.balance, d_mg=shelf.balance.d_mg * 1.5))
        found = faults([sorting, larger])
        assert [f.together for f in found] == [Together.ALONE, Together.ALONE]
        assert [len(f.nodes) for f in found] == [1, 1]

    def test_two_of_one_sign_are_not_joined(self, nodes: list[BalanceNode]) -> None:
        sorting, shelf, *_ = the_two(nodes)
        same = replace(shelf, balance=replace(shelf.balance, d_mg=-shelf.balance.d_mg))
        assert not answer(sorting, same)
        assert [f.together for f in faults([sorting, same])] == [Together.ALONE, Together.ALONE]

    def test_jobs_with_another_in_between_are_not_joined(self, nodes: list[BalanceNode]) -> None:
        first, last = (n for n in the_two(nodes) if n.stage == "milling")
        between = replace(first, step=first.step + 1, balance=replace(first.balance, verdict=Verdict.ADDS_UP, d_mg=first.balance.e_mg, z=0.0))
        found = faults([first, between, last])
        assert [f.together for f in found] == [Together.ALONE, Together.ALONE]

    def test_what_adds_up_is_no_fault(self, nodes: list[BalanceNode]) -> None:
        assert faults([n for n in nodes if n.balance.verdict is Verdict.ADDS_UP]) == []
