"""Closing a balance: signs, samples, scales, and when it cannot be judged."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.balance.closure import close, is_known, verdict_of
from lots.balance.propagation import dry_mg, u_weighted
from lots.trade.weighing import Expectation, ScaleData, Side, Verdict, Weighing

KG = 1_000_000
LEAF = ScaleData("S2", 10_000, 10_000, 5_000.0, "III", 60 * KG)
POWDER = ScaleData("S3", 1_000, 1_000, 500.0, "II", 12 * KG)
USUAL = Expectation("refining", 0.008, 0.003)
DIFFERENCE = {Side.IN: 1.0, Side.OUT: -1.0, Side.LOST: -1.0}


def line(
    side: Side, kg: float, moisture: float | None = 0.05, *, label: str = "leaf", count: int = 1,
    u: float | None = 0.003, sample: str = "", scale: ScaleData | None = LEAF, lot: str = "",
) -> Weighing:
    return Weighing(side, label, round(kg * KG), count, moisture, u, sample, scale, lot)


def test_dry_sums_and_signs() -> None:
    lines = [line(Side.IN, 50), line(Side.OUT, 40), line(Side.OUT, 5, 0.04), line(Side.LOST, 2)]
    balance = close(lines, USUAL)
    assert balance.input_mg == pytest.approx(47.5 * KG)
    assert balance.output_mg == pytest.approx(42.8 * KG)
    assert balance.lost_mg == pytest.approx(1.9 * KG)
    assert balance.d_mg == pytest.approx(2.8 * KG)
    assert balance.e_mg == pytest.approx(0.38 * KG)
    assert balance.scatter_mg == pytest.approx(0.1425 * KG)
    spread = math.hypot(balance.u_mg, balance.scatter_mg)
    assert balance.z == pytest.approx((balance.d_mg - balance.e_mg) / spread)
    assert (balance.verdict, balance.why) == (Verdict.STOP, "")
    assert is_known(balance)


def test_more_out_than_in_keeps_its_sign() -> None:
    balance = close([line(Side.IN, 10, scale=POWDER), line(Side.OUT, 11, scale=POWDER)], USUAL)
    assert balance.d_mg < 0
    assert balance.z < -3
    assert balance.verdict is Verdict.STOP


@pytest.mark.parametrize(("z", "verdict"), [
    (0.0, Verdict.ADDS_UP), (2.0, Verdict.ADDS_UP), (-2.0, Verdict.ADDS_UP), (2.01, Verdict.LOOK), (-3.0, Verdict.LOOK),
    (3.01, Verdict.STOP), (-29.0, Verdict.STOP),
])
def test_the_words_begin_beyond_two_and_three(z: float, verdict: Verdict) -> None:
    assert verdict_of(z) is verdict


def test_an_adjustment_takes_away() -> None:
    plain = close([line(Side.IN, 50), line(Side.OUT, 45)], USUAL)
    adjusted = close([line(Side.IN, 50), line(Side.OUT, 47), line(Side.OUT, -2)], USUAL)
    assert adjusted.d_mg == pytest.approx(plain.d_mg)
    assert adjusted.output_mg == pytest.approx(plain.output_mg)


def test_one_scale_s_error_cancels_between_its_lines() -> None:
    def u(other: ScaleData) -> float:
        return u_weighted([line(Side.IN, 30, u=0.0), line(Side.OUT, 30, u=0.0, scale=other)], DIFFERENCE)

    assert u(LEAF) == pytest.approx(0.95 * math.sqrt(2) * math.hypot(10_000 / math.sqrt(12), 5_000))
    assert u(replace(LEAF, code="S9")) > 1.7 * u(LEAF)


def test_many_readings_add_their_common_part_in_full() -> None:
    one = u_weighted([line(Side.IN, 1, 0.0, u=0.0)], DIFFERENCE)
    many = u_weighted([line(Side.IN, 16, 0.0, u=0.0, count=16)], DIFFERENCE)
    common = 5_000 / math.sqrt(3)
    assert one**2 - common**2 == pytest.approx((many**2 - (16 * common) ** 2) / 16)


def test_one_sample_s_error_cancels_between_its_lines() -> None:
    tied = u_weighted([line(Side.IN, 30, sample="a", scale=None), line(Side.OUT, 29, sample="a", scale=None)], DIFFERENCE)
    loose = u_weighted([line(Side.IN, 30, scale=None), line(Side.OUT, 29, scale=None)], DIFFERENCE)
    assert tied == pytest.approx(0.003 * KG)
    assert loose == pytest.approx(0.003 * math.hypot(30, 29) * KG)


def test_equal_moistures_are_not_one_sample() -> None:
    same_value = [line(Side.IN, 30, scale=None), line(Side.OUT, 29, scale=None)]
    assert u_weighted(same_value, DIFFERENCE) > 0.1 * KG


def test_a_line_that_nobody_weighed_carries_its_moisture_only() -> None:
    for unread in (line(Side.IN, 30, scale=None), line(Side.IN, 30, count=0)):
        assert u_weighted([unread], DIFFERENCE) == pytest.approx(0.09 * KG)


def test_missing_moisture_cannot_be_judged_and_names_the_line() -> None:
    lines = [line(Side.IN, 50), line(Side.OUT, 40, None, label="refined leaf", lot="R26-SG1", u=None)]
    balance = close(lines, USUAL)
    assert (balance.verdict, balance.z) == (Verdict.CANNOT, None)
    assert balance.why == "Moisture of refined leaf of R26-SG1 was not measured. Measure it, and it decides itself."
    assert balance.input_mg == pytest.approx(47.5 * KG)
    assert math.isnan(balance.output_mg)
    assert math.isnan(balance.d_mg)
    assert not is_known(balance)
    assert close(lines, USUAL, "ja").why == "R26-SG1 のrefined leafの水分が未測定。測れば決まる。"


def test_several_missing_moistures_are_counted() -> None:
    lines = [line(Side.IN, 50), line(Side.OUT, 40, None), line(Side.OUT, 4, None, label="stem"), line(Side.OUT, 1, None)]
    assert "Moisture of leaf was not measured, and of 2 more" in close(lines, USUAL).why


def test_a_line_of_nothing_needs_no_moisture() -> None:
    lines = [line(Side.IN, 50), line(Side.OUT, 49.5), line(Side.OUT, 0, None, label="left-over", u=None)]
    assert close(lines, USUAL).verdict is Verdict.ADDS_UP
    assert dry_mg(lines[2]) == 0


def test_a_moisture_of_unknown_worth_cannot_be_judged() -> None:
    balance = close([line(Side.IN, 50), line(Side.OUT, 49, u=None, label="stem")], USUAL)
    assert balance.verdict is Verdict.CANNOT
    assert balance.why.startswith("How well the moisture of stem is known")


def test_a_moisture_that_cannot_be_is_told_and_not_summed() -> None:
    balance = close([line(Side.IN, 50, 4.0, label="fresh leaf"), line(Side.OUT, 49)], USUAL)
    assert balance.why.startswith("fresh leaf: A moisture of 400 per 100 wet cannot be")
    assert math.isnan(balance.input_mg)


@pytest.mark.parametrize("lines", [[], [line(Side.OUT, 5)], [line(Side.IN, 0, None)], [line(Side.IN, -5)]])
def test_without_input_there_is_nothing_to_judge(lines: list[Weighing]) -> None:
    balance = close(lines, USUAL)
    assert balance.verdict is Verdict.CANNOT
    assert balance.why.startswith("Nothing went in yet")


def test_a_load_beyond_the_scale_cannot_be_judged() -> None:
    balance = close([line(Side.IN, 30, scale=POWDER), line(Side.OUT, 29)], USUAL)
    assert balance.verdict is Verdict.CANNOT
    assert "30.000 kg is more than scale S3 can weigh (12.000 kg)" in balance.why
    assert balance.d_mg == pytest.approx(0.95 * KG)
    assert math.isnan(balance.u_mg)


def test_what_has_no_spread_cannot_be_judged() -> None:
    lines = [line(Side.IN, 30, u=0.0, scale=None), line(Side.OUT, 29, u=0.0, scale=None)]
    balance = close(lines, Expectation("counting", 0.0, 0.0))
    assert balance.verdict is Verdict.CANNOT
    assert balance.why == "Neither a scale nor a usual scatter is known here. Name the scale."


masses = st.integers(1_000_000, 50_000_000)


@given(st.lists(masses, min_size=1, max_size=4), st.lists(masses, max_size=4), st.floats(0, 0.9))
def test_the_order_of_the_lines_is_no_matter(ins: list[int], outs: list[int], moisture: float) -> None:
    lines = [Weighing(Side.IN, "x", m, 1, moisture, 0.002, "", LEAF) for m in ins]
    lines += [Weighing(Side.OUT, "y", m, 1, moisture, 0.002, "s", LEAF) for m in outs]
    there, back = close(lines, USUAL), close(lines[::-1], USUAL)
    assert there.z == pytest.approx(back.z)
    assert there.d_mg == pytest.approx(sum(ins) * (1 - moisture) - sum(outs) * (1 - moisture), abs=1)
