"""Reconciliation against worked examples that others printed. Where a figure was computed for this project, it says so."""

from __future__ import annotations

import numpy as np
import pytest

from lots.balance.reconcile import Reconciliation, eliminate_serially, reconcile

NAN = float("nan")
# Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000), ch. 1: feed 1, split into 2 and 3, 4 behind the
# exchanger, 5 behind the valve, 6 mixed.
EXCHANGER = np.array([[1, -1, -1, 0, 0, 0], [0, 1, 0, -1, 0, 0], [0, 0, 1, 0, -1, 0], [0, 0, 0, 1, 1, -1]], dtype=float)


def only(values: list[float], *streams: int) -> list[float]:
    """The values of some streams, counted from 1; the others were not measured."""
    return [value if i in streams else NAN for i, value in enumerate(values, 1)]


def exchanger(values: list[float]) -> Reconciliation:
    return reconcile(incidence=EXCHANGER, measured=values, covariance=np.ones(6), with_covariance=True)


class TestExchangerWithBypass:
    """Narasimhan and Jordache 2000, ch. 1 (columns "reconciled"); statistics and deviations were computed for this project."""

    Y = [101.91, 64.45, 34.65, 64.20, 36.44, 98.88]

    def test_all_measured(self) -> None:
        found = exchanger(self.Y)
        assert found.estimates == pytest.approx([100.22, 64.50, 35.72, 64.50, 35.72, 100.22], abs=1e-9)
        assert found.global_statistic == pytest.approx(6.4075, abs=1e-9)
        assert (found.degrees_of_freedom, round(found.p_value, 4)) == (4, 0.1707)
        assert np.sqrt(np.diag(found.covariance_of_estimates)) == pytest.approx([0.57735] * 6, abs=1e-5)
        assert found.measurement_statistics == pytest.approx([2.0698, 0.0612, 1.3105, 0.3674, 0.8818, 1.6412], abs=5e-5)
        assert found.adjustments == pytest.approx([1.69, -0.05, -1.07, -0.30, 0.72, -1.34], abs=1e-9)

    def test_four_measured(self) -> None:
        found = exchanger(only(self.Y, 1, 2, 5, 6))
        assert found.estimates == pytest.approx([100.49, 64.25, 36.24, 64.25, 36.24, 100.49], abs=5e-3)
        assert found.global_statistic == pytest.approx(4.68846, abs=1e-6)
        assert found.degrees_of_freedom == 2
        assert list(found.redundant) == [True, True, False, False, True, True]
        assert found.determinable.all()

    def test_two_measured_that_check_nothing(self) -> None:
        found = exchanger(only(self.Y, 1, 2))
        assert found.estimates == pytest.approx([101.91, 64.45, 37.46, 64.45, 37.46, 101.91], abs=1e-9)
        assert (found.degrees_of_freedom, found.p_value) == (0, 1.0)
        assert not found.redundant.any()
        assert np.isnan(found.measurement_statistics).all()

    def test_what_cannot_be_determined_gets_no_number(self) -> None:
        found = exchanger(only(self.Y, 1, 6))
        assert found.estimates[[0, 5]] == pytest.approx([100.395, 100.395], abs=1e-9)
        assert np.isnan(found.estimates[1:5]).all()
        assert list(found.determinable) == [True, False, False, False, False, True]
        assert (found.degrees_of_freedom, round(found.global_statistic, 5)) == (1, 4.59045)


class TestExchangerWithABias:
    """The same book's ch. 7 example: stream 2 reads 4 too much. Statistics as the book prints them (from memory), recomputed."""

    Y = [101.91, 68.45, 34.65, 64.20, 36.44, 98.88]

    def test_the_global_and_the_nodal_test(self) -> None:
        found = exchanger(self.Y)
        assert found.global_statistic == pytest.approx(16.674, abs=5e-4)
        assert found.nodal_statistics == pytest.approx([0.687, 3.005, 1.266, 1.016], abs=5e-4)
        # Computed for this project:
        assert found.estimates == pytest.approx([100.88667, 65.83333, 35.05333, 65.83333, 35.05333, 100.88667], abs=5e-6)
        assert found.measurement_statistics == pytest.approx([1.25332, 3.20475, 0.49398, 2.00042, 1.69831, 2.45765], abs=5e-6)

    def test_bias_and_leak_side_by_side(self) -> None:
        """Likelihood ratios computed for this project: a leak at the second node explains more than the bias that was put in."""
        first = eliminate_serially(incidence=EXCHANGER, measured=self.Y, covariance=np.ones(6)).steps[0]
        told = {(h.kind, h.position): h for h in first.hypotheses}
        bias = [told["bias", i] for i in range(6)]
        assert [h.statistic for h in bias] == pytest.approx([1.57082, 10.27042, 0.24402, 4.00167, 2.88427, 6.04007], abs=5e-6)
        assert [h.estimate for h in bias] == pytest.approx([1.535, 3.925, -0.605, -2.45, 2.08, -3.01], abs=1e-9)
        leak = [told["leak", j] for j in range(4)]
        assert [h.statistic for h in leak] == pytest.approx([1.57082, 13.24960, 0.38440, 6.04007], abs=5e-6)
        assert [h.estimate for h in leak] == pytest.approx([1.535, 3.640, 0.620, 3.010], abs=1e-9)
        assert (first.hypotheses[0].kind, first.hypotheses[0].position) == ("leak", 1)

    def test_serial_elimination_takes_the_biased_stream_out(self) -> None:
        found = eliminate_serially(incidence=EXCHANGER, measured=self.Y, covariance=np.ones(6), significance=0.05)
        assert (found.accepted, found.removed) == (True, (1,))
        assert [step.suspects for step in found.steps] == [(1,), ()]
        assert found.steps[0].limit == pytest.approx(9.487729, abs=1e-6)
        assert found.steps[1].limit == pytest.approx(7.814728, abs=1e-6)
        assert found.steps[1].global_statistic == pytest.approx(6.40375, abs=1e-6)
        assert found.estimates == pytest.approx([100.2325, 64.525, 35.7075, 64.525, 35.7075, 100.2325], abs=1e-9)


class TestCoolingWater:
    """"Basic Concepts in Data Reconciliation", North Carolina State University and University of Ottawa 2003, cooling-water network."""

    Y = [110.5, 60.8, 35.0, 68.9, 38.6, 101.4]
    VARIANCES = [0.6724, 0.2809, 0.2116, 0.5041, 0.2025, 1.44]

    def solved(self, *streams: int) -> Reconciliation:
        values = only(self.Y, *streams) if streams else self.Y
        return reconcile(incidence=EXCHANGER, measured=values, covariance=self.VARIANCES, with_covariance=True)

    def test_estimates_and_their_covariance(self) -> None:
        found = self.solved()
        half = [103.24010825, 65.41556049, 37.82454776]
        assert found.estimates == pytest.approx([*half, *half[1:], half[0]], abs=5e-9)
        covariance = found.covariance_of_estimates
        assert covariance is not None
        # The source cuts digits off, it does not round; and it prints 0.0693 where its own symmetry asks for 0.0639.
        assert covariance[0] == pytest.approx([0.1753, 0.1114, 0.0639, 0.1114, 0.0639, 0.1753], abs=1e-4)
        assert covariance[1, 1:] == pytest.approx([0.1365, -0.0251, 0.1365, -0.0251, 0.1114], abs=1e-4)
        assert covariance[2, 2:] == pytest.approx([0.0890, -0.0251, 0.0890, 0.0639], abs=1e-4)

    def test_three_measured(self) -> None:
        found = self.solved(1, 3, 5)
        assert found.estimates == pytest.approx([110.5, 73.66, 36.84, 73.66, 36.84, 110.5], abs=5e-3)
        assert not found.redundant[0]
        assert found.degrees_of_freedom == 1

    def test_two_measured_leave_four_unknown(self) -> None:
        found = self.solved(1, 6)
        assert not found.determinable[1:5].any()
        assert found.estimates[0] == pytest.approx(found.estimates[5])


class TestSteamCircuit:
    """VDI 2048 part 1, worked example of a steam-turbine circuit, as carried with 15 digits by a public library's regression test.

    It has correlated meters, a coefficient of 0.4, and a meter that nothing checks.
    """

    BALANCES = np.array([
        [1, 1, -1, -1, 0.4, 0, 0, 0, 0, 0, 0], [0, 0, 1, 1, -1, -1, -1, -1, -1, 0, 0], [0, 0, 0, 0, 0, 0, 1, 1, 1, -1, 0],
    ], dtype=float)
    Y = np.array([46.241, 45.668, 44.575, 44.319, 0.525, 69.978, 10.364, 3.744, 4.391, 18.498, 2.092])
    HALF_WIDTHS = np.array([0.800, 0.790, 0.535, 0.532, 0.105, 0.854, 0.168, 0.058, 0.058, 0.205, 0.272])
    X = [44.9644892064, 44.4179721417, 44.9259040472, 44.6670964499, 0.5263478724, 70.5530608293, 10.3757829833, 3.7454044060,
         4.3924044060, 18.5135917954, 2.092]
    X_HALF_WIDTHS = [0.5756265706, 0.5728175875, 0.4044631774, 0.4029193702, 0.1046234105, 0.5598728489, 0.1330033891,
                     0.0566952516, 0.0566952516, 0.1371025114, 0.272]

    def covariance(self, half_widths: np.ndarray) -> np.ndarray:
        sd = half_widths / 1.96
        matrix = np.diag(sd**2)
        matrix[0, 1] = matrix[1, 0] = 0.2 * sd[0] * sd[1]
        matrix[2, 3] = matrix[3, 2] = 0.4 * sd[2] * sd[3]
        return matrix

    def test_estimates_and_half_widths(self) -> None:
        found = reconcile(incidence=self.BALANCES, measured=self.Y, covariance=self.covariance(self.HALF_WIDTHS), with_covariance=True)
        assert found.estimates == pytest.approx(self.X, abs=1e-10)
        assert 1.96 * np.sqrt(np.diag(found.covariance_of_estimates)) == pytest.approx(self.X_HALF_WIDTHS, abs=1e-10)
        assert not found.redundant[-1]
        assert np.isnan(found.measurement_statistics[-1])

    def test_with_the_sums_as_unmeasured_streams(self) -> None:
        """FD1 = feed water, FD2 = sprays and losses side, FD3, HDAnz: four more streams, each with a balance of its own."""
        sums = np.array([[1, 1, 0, 0, 0.4, 0, 0, 0, 0, 0, 0], [0, 0, 1, 1, -1, 0, 0, 0, 0, 0, 0], [0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0]])
        balances = np.block([[self.BALANCES, np.zeros((3, 3))], [sums, -np.eye(3)]])
        measured = np.concatenate([self.Y, np.full(3, np.nan)])
        whole = np.zeros((14, 14))
        whole[:11, :11] = self.covariance(self.HALF_WIDTHS)
        found = reconcile(incidence=balances, measured=measured, covariance=whole)
        assert found.estimates[:11] == pytest.approx(self.X, abs=1e-10)
        assert found.estimates[13] == pytest.approx(18.5135917954, abs=1e-10)
        assert found.degrees_of_freedom == 3

    def test_the_feed_water_meters_are_suspected_together(self) -> None:
        """Statistics computed for this project: 20.31 against 7.81; both meters stand at 4.503 and cannot be told apart."""
        found = eliminate_serially(incidence=self.BALANCES, measured=self.Y, covariance=self.covariance(self.HALF_WIDTHS))
        first = found.steps[0]
        assert first.global_statistic == pytest.approx(20.309588, abs=1e-6)
        assert (first.suspects, round(first.suspect_statistic, 3)) == ((0, 1), 4.503)

    def test_a_wider_feed_water_meter_closes_it(self) -> None:
        """The demo's variant with 2.500 as half-width of both feed-water meters (computed for this project)."""
        wide = self.HALF_WIDTHS.copy()
        wide[:2] = 2.5
        found = reconcile(incidence=self.BALANCES, measured=self.Y, covariance=self.covariance(wide))
        assert found.estimates[:2] == pytest.approx([44.695957, 44.122957], abs=5e-7)
        assert found.global_statistic == pytest.approx(2.537015, abs=1e-6)
        assert found.p_value == pytest.approx(0.4686, abs=5e-5)


def test_mitsas_twelve_streams() -> None:
    """Mitsas, Measurement 43 (2010) 702: his answer to two digits; two of them (100.59, 10.14) he rounded otherwise."""
    balances = np.zeros((6, 12))
    for row, streams in enumerate([(1, -2, -3, -4), (2, -5, -6, -7), (3, 5, 6, 7, -8), (4, -9, -10), (8, 9, -11), (10, 11, -12)]):
        for stream in streams:
            balances[row, abs(stream) - 1] = np.sign(stream)
    y = [100.49, 29.46, 40.41, 30.05, 15.17, 4.98, 9.92, 70.68, 10.03, 19.82, 81.06, 101.57]
    sd = np.array([1, 0.3, 0.4, 0.3, 0.3, 0.1, 0.2, 0.7, 0.3, 0.4, 0.8, 1])
    found = reconcile(incidence=balances, measured=y, covariance=sd**2)
    printed = [100.59, 29.80, 40.71, 30.07, 15.00, 4.96, 9.84, 70.51, 10.14, 19.93, 80.66, 100.59]
    assert found.estimates == pytest.approx(printed, abs=0.009)
    assert found.global_statistic == pytest.approx(3.8913, abs=5e-5)
    assert found.degrees_of_freedom == 6
    # Three streams side by side between the same two nodes: nothing tells them apart.
    assert found.measurement_statistics[4:7] == pytest.approx([0.884] * 3, abs=5e-4)


def test_rao_and_narasimhan_one_node() -> None:
    """Rao and Narasimhan 1996, as solved by an independent optimiser in a public benchmark sheet (sd 3 % of the reading)."""
    y = np.array([9.22, 4.83, 3.22])
    found = reconcile(incidence=[[1, -1, -1]], measured=y, covariance=(0.03 * y) ** 2)
    assert found.estimates == pytest.approx([8.3821, 5.0599, 3.3222], abs=5e-5)
    assert found.global_statistic == pytest.approx(12.8132, abs=5e-5)


def test_ripps_elements() -> None:
    """Ripps 1965, network from memory; answers computed for this project. Coefficients are no incidence, and one stream is 5 sd off."""
    balances = [[0.1, 0.6, -0.2, -0.7], [0.8, 0.1, -0.2, -0.1], [0.1, 0.3, -0.6, -0.2]]
    y, variances = [0.1858, 4.7935, 1.2295, 3.8800], [0.000289, 0.0025, 0.000576, 0.04]
    found = reconcile(incidence=balances, measured=y, covariance=variances)
    assert found.estimates == pytest.approx([0.16757, 4.85945, 1.17297, 3.85405], abs=5e-6)
    assert found.global_statistic == pytest.approx(8.4547, abs=5e-5)
    assert found.measurement_statistics == pytest.approx([1.0768, 2.7370, 2.6239, 0.1318], abs=1e-4)
    cleaned = eliminate_serially(incidence=balances, measured=y, covariance=variances)
    assert cleaned.removed == (1,)
    assert cleaned.estimates == pytest.approx([0.17509, 5.07747, 1.22560, 4.02696], abs=5e-6)
