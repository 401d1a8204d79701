"""Maximum permissible errors, OIML R 76-1 table 6 (read in a copy of its tables), in verification intervals e."""

from __future__ import annotations

import math

import pytest

from lots.balance.scales import permissible_error_mg
from lots.trade.language import Refused
from lots.trade.weighing import ScaleData

E_MG = 1_000


def scale(accuracy_class: str, interval_mg: int = E_MG, capacity_mg: int = 10**15) -> ScaleData:
    return ScaleData("S", interval_mg, interval_mg, 0.0, accuracy_class, capacity_mg)


@pytest.mark.parametrize(("accuracy_class", "first", "second", "last"), [
    ("I", 50_000, 200_000, math.inf), ("II", 5_000, 20_000, 100_000), ("III", 500, 2_000, 10_000), ("IIII", 50, 200, 1_000),
])
def test_table_6(accuracy_class: str, first: int, second: int, last: float) -> None:
    plate = scale(accuracy_class)

    def error_e(load_e: float) -> float:
        return permissible_error_mg(load_e * E_MG, plate) / E_MG

    assert [error_e(load) for load in (0, 1, first)] == [0.5, 0.5, 0.5]
    assert [error_e(load) for load in (first + 1, second)] == [1.0, 1.0]
    assert error_e(second + 1) == 1.5
    if math.isinf(last):
        assert error_e(10 * second) == 1.5
    else:
        assert error_e(last) == 1.5
        with pytest.raises(Refused, match="more than scale S can weigh"):
            error_e(last + 1)


@pytest.mark.parametrize(("load_g", "error_g"), [(500, 0.5), (501, 1.0), (2_000, 1.0), (2_001, 1.5), (10_000, 1.5)])
def test_class_iii_of_one_gram(load_g: float, error_g: float) -> None:
    # worked out from the table
    assert permissible_error_mg(load_g * 1_000, scale("III")) == error_g * 1_000


def test_class_iii_of_one_gram_ends_at_ten_kilograms() -> None:
    with pytest.raises(Refused, match=r"10\.001 kg is more than scale S can weigh \(10\.000 kg\)") as refused:
        permissible_error_mg(10_001_000, scale("III"))
    assert "能力" in refused.value.text("ja")


@pytest.mark.parametrize(("load_g", "error_g"), [(30, 0.005), (60, 0.010), (250, 0.015)])
def test_class_ii_of_a_hundredth_of_a_gram(load_g: float, error_g: float) -> None:
    # worked out from the table
    assert permissible_error_mg(load_g * 1_000, scale("II", interval_mg=10)) == pytest.approx(error_g * 1_000)


def test_a_scale_shows_nine_intervals_beyond_its_capacity_and_no_more() -> None:
    # OIML R 76-1, 4.2.3 (from memory)
    plate = scale("II", capacity_mg=12_000_000)
    assert permissible_error_mg(12_009_000, plate) == 1_000
    with pytest.raises(Refused, match=r"12\.010 kg is more than scale S can weigh \(12\.000 kg\)"):
        permissible_error_mg(12_010_000, plate)


def test_the_sign_of_a_load_is_no_matter_and_the_class_must_be_known() -> None:
    assert permissible_error_mg(-501_000, scale("III")) == 1_000
    with pytest.raises(KeyError):
        permissible_error_mg(1, scale("V"))
