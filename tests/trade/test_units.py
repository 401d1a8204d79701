"""Figures as the pages print them."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.trade import units
from lots.trade.language import Refused, is_japanese, pick

SP = "\u00a0"
MINUS = "\u2212"
TUESDAY = date(2026, 7, 14)


@given(st.integers(-(2**63), 2**63 - 1))
def test_every_mass_of_the_book_goes_to_kilograms_and_back(mass_mg: int) -> None:
    assert units.mg_from_kg(units.kg_from_mg(mass_mg)) == mass_mg


def test_edges_take_whole_milligrams_only() -> None:
    assert units.mg_from_kg("41.83") == 41_830_000
    assert units.mg_from_g(Decimal("0.895")) == 895
    with pytest.raises(Refused, match="finer than a milligram"):
        units.mg_from_kg("0.0000001")
    with pytest.raises(Refused, match="finer than a milligram"):
        units.mg_from_g(Decimal("Infinity"))
    with pytest.raises(Refused, match="not a mass in kg") as refused:
        units.mg_from_kg("41,83")
    assert "質量ではない" in refused.value.text("ja")


def test_masses_have_a_no_break_space_and_the_decimals_of_their_scale() -> None:
    assert units.kg_text(41_830_000, 2) == f"41.83{SP}kg"
    assert units.kg_text(1_816_000_000, 1) == f"1,816.0{SP}kg"
    assert units.g_text(895_000) == f"895{SP}g"
    assert units.g_text(30_220, 2) == f"30.22{SP}g"
    assert units.rate_text(40.4) == f"40.4{SP}g/h"


def test_differences_show_their_sign_with_a_true_minus() -> None:
    assert units.signed_kg_text(2_381_000, 3) == f"+2.381{SP}kg"
    assert units.signed_kg_text(-2_621_000, 3) == f"{MINUS}2.621{SP}kg"
    assert units.signed_kg_text(-400, 1) == f"0.0{SP}kg"
    assert units.signed_g_text(-6_000) == f"{MINUS}6{SP}g"
    assert units.number_text(8.64, 2, signed=True) == "+8.64"
    assert units.number_text(0.0, 2, signed=True) == "0.00"


def test_halves_go_away_from_zero_on_the_decimal_that_was_written() -> None:
    assert units.number_text(Decimal("2.5"), 0) == "3"
    assert units.number_text(-0.125, 2) == f"{MINUS}0.13"
    assert units.number_text(1.005, 2) == "1.01"


def test_what_is_not_known_is_said() -> None:
    assert units.kg_text(math.nan, 2) == "not known"
    assert units.signed_kg_text(math.nan, 2, "ja") == "不明"
    assert units.percent_text(math.nan) == "not known"
    assert units.hours_text(math.nan) == "not known"


def test_a_hundred_per_cent_is_exactly_one() -> None:
    assert units.percent_text(1.0) == f"100{SP}%"
    assert units.percent_text(Decimal(1), 3) == f"100{SP}%"
    assert units.percent_text(0.9999) == f"99.9{SP}%"
    assert units.percent_text(Decimal("0.999999999999999999"), 2) == f"99.99{SP}%"
    assert units.percent_text(1.0001) == f"100.1{SP}%"
    assert units.percent_text(0.705) == f"70.5{SP}%"


def test_float_noise_of_a_sum_of_shares_is_still_one() -> None:
    assert sum([0.1] * 10) != 1
    assert units.percent_text(sum([0.1] * 10)) == f"100{SP}%"


def test_a_share_that_is_not_zero_never_prints_as_zero() -> None:
    assert units.percent_text(0.0) == f"0.0{SP}%"
    assert units.percent_text(0.0001) == f"<{SP}0.1{SP}%"
    assert units.percent_text(0.001, 0) == f"<{SP}1{SP}%"
    assert units.percent_text(-0.0001) == f">{SP}{MINUS}0.1{SP}%"


@given(st.floats(0, 1), st.integers(0, 3))
def test_only_one_prints_as_a_hundred(frac: float, places: int) -> None:
    assert (units.percent_text(frac, places) == f"100{SP}%") == (1 - frac < 1e-13)


def test_moisture_says_its_basis() -> None:
    assert units.moisture_text(0.051) == f"5.1{SP}% moisture, wet basis"
    assert units.moisture_text(0.051, language="ja") == f"水分 5.1{SP}%（湿量基準）"
    assert units.moisture_text(None) == "moisture not measured"


def test_counts_hours_and_days() -> None:
    assert units.count_text(1, "tin", "tins") == "1 tin"
    assert units.count_text(1206, "tin", "tins") == "1,206 tins"
    assert units.count_text(1206) == "1,206"
    assert units.hours_text(1138) == "1,138 hours"
    assert units.hours_text(1) == "1 hour"
    assert units.hours_text(22, 1) == "22.0 hours"
    assert units.hours_text(22, 1, "ja") == "22.0時間"
    assert units.days_text(1) == "1 day"
    assert units.days_text(23, "ja") == "23日"


def test_dates_carry_their_weekday() -> None:
    assert units.date_text(TUESDAY) == "2026-07-14 (Tue)"
    assert units.date_text(TUESDAY, "ja") == "2026-07-14（火）"
    assert units.short_date_text(TUESDAY) == "07-14 Tue"
    assert units.short_date_text(TUESDAY, "ja") == "07-14 火"
    assert units.day_title_text(TUESDAY) == "Tuesday, 14 July"
    assert units.day_title_text(TUESDAY, "ja") == "7月14日 火曜日"
    assert units.long_date_text(date(2026, 5, 2)) == "Sat 2 May 2026"
    assert units.long_date_text(date(2026, 5, 2), "ja") == "2026年5月2日（土）"
    assert units.month_text(TUESDAY) == "July 2026"
    assert units.month_text(TUESDAY, "ja") == "2026年7月"


def test_moments() -> None:
    moment = datetime(2026, 7, 14, 8, 10, tzinfo=UTC)
    assert units.time_text(moment) == "08:10"
    assert units.moment_text(moment) == "2026-07-14 (Tue) 08:10"
    assert units.moment_text(moment, "ja") == "2026-07-14（火）08:10"


@pytest.mark.parametrize(("mass_mg", "places"), [(2_381_000, 1), (-312_000, 2), (57_000, 3)])
def test_a_sentence_takes_as_many_decimals_as_it_needs(mass_mg: int, places: int) -> None:
    assert units.usual_places(mass_mg) == places


def test_languages() -> None:
    assert [is_japanese(x) for x in ("ja", "JA-jp", "ja_JP", "en", "", "jam")] == [True, True, True, False, False, False]
    assert pick("de", "yes", "はい") == "yes"
