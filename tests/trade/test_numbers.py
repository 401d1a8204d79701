"""The forgiving number reader. The vectors of a kilogram field with three decimals are the desk's own rule, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.trade.moisture import Basis
from lots.trade.numbers import Reading, looks_like_code, read_count, read_hours, read_moisture, read_number

TRUCK_KG = Decimal(2_000)


@pytest.mark.parametrize(("text", "value"), [
    ("41.83", "41.83"), ("41,83", "41.83"), ("４１．８３", "41.83"), ("４１，８３", "41.83"), (" 41.83 kg", "41.83"),
    ("41。83", "41.83"), ("41｡83", "41.83"), ("0,895", "0.895"), (".5", "0.5"), ("1.234,5", "1234.5"),
    ("1,234.5", "1234.5"), ("1 234,5", "1234.5"), ("1'234.5", "1234.5"),
    # beyond the rule's own list
    ("41、83", "41.83"), ("41.83ｋｇ", "41.83"), ("41.83 ㎏", "41.83"), ("kg 41.83", "41.83"), ("41.83 キロ", "41.83"),
    ("\u00a041.83\u3000", "41.83"), ("1’234.5", "1234.5"), ("1\u202f234,5", "1234.5"), ("0", "0"), ("0.000", "0"),
    ("007", "7"), ("1234", "1234"), ("1,234.567", "1234.567"),
])
def test_what_can_be_meant_in_one_way_is_read(text: str, value: str) -> None:
    assert read_number(text, 3, TRUCK_KG) == Reading(value=Decimal(value))


@pytest.mark.parametrize(("text", "candidates"), [
    ("1,234", ("1.234", "1234")),
    ("1.234", ("1.234", "1234")),
    ("895g", ("0.895", "895")),
    ("1,234 g", ("1.234", "1234")),
    ("22 h", ("22",)),
    ("41.", ("41",)),
])
def test_what_can_be_meant_in_two_ways_is_asked(text: str, candidates: tuple[str, ...]) -> None:
    reading = read_number(text, 3, TRUCK_KG)
    assert reading.value is None
    assert not reading.refusal
    assert reading.candidates == tuple(map(Decimal, candidates))
    assert all(str(c) in reading.question for c in reading.candidates)


@pytest.mark.parametrize(("text", "sentence"), [
    ("41..83", "marks where no figure has them"),
    ("41.8.3", "marks where no figure has them"),
    ("-3", "below zero"),
    ("\u22123", "below zero"),
    ("4l.83", "“l” is a letter. Was 1 meant?"),
    ("4O.83", "Was 0 meant?"),
    ("", "Nothing was typed"),
    (" \u3000 ", "Nothing was typed"),
    ("12.3456", "The scale shows 3 decimals"),
    ("41 83", "marks where no figure has them"),
    ("12,34,567", "marks where no figure has them"),
    ("41x", "“x” is not part of a figure"),
    ("kg", "not part of a figure"),
    ("+3", "not part of a figure"),
    ("41²", "not part of a figure"),
    ("1/2", "not part of a figure"),
    ("1.2345 g", "The scale shows 3 decimals"),
])
def test_the_rest_is_refused_with_a_sentence(text: str, sentence: str) -> None:
    reading = read_number(text, 3, TRUCK_KG)
    assert reading.value is None
    assert sentence in reading.refusal


@pytest.mark.parametrize("text", [
    "123456", "12345678901234", "１２３４５６７８", "R26-SG1", "T7K2M9Q4XD0H3RW8CPV5", "k26-06",
    "https://maker.example/T7K2M9Q4XD", "]d20104912345678904", "(01)04912345678904(21)T7",
])
def test_a_scan_in_a_weight_field_is_told(text: str) -> None:
    assert looks_like_code(text)
    assert "looks like a code" in read_number(text, 3, TRUCK_KG).refusal


@pytest.mark.parametrize("text", ["12345", "41.83 kg", "895g", "4l.83", "kg", "123456789012345", "1,234,567"])
def test_a_figure_is_no_code(text: str) -> None:
    assert not looks_like_code(text)


def test_the_capacity_settles_what_a_comma_is() -> None:
    assert read_number("1,234", 3, 12).value == Decimal("1.234")
    assert read_number("41,830", 3, 60).value == Decimal("41.830")
    assert read_number("895g", 3, 12).candidates == (Decimal("0.895"),)
    assert read_number("1,234", 3, None).candidates == (Decimal("1.234"), Decimal(1234))
    assert read_number("1,234", 2, 60).refusal == (
        "The scale shows 2 decimals; “1,234” has more. Type what it shows.")
    assert read_number("1,234", 2, 2_000).candidates == (Decimal(1234),)


def test_more_than_the_scale_can_weigh_is_refused_with_the_one_figure_that_would_fit() -> None:
    slip = read_number("4163", 2, 60)
    assert slip.refusal == "4163 kg is more than the scale can weigh (60 kg). 41.63?"
    assert slip.candidates == (Decimal("41.63"),)
    assert read_number("6000", 2, 60).candidates == ()
    assert read_number("15 kg", 2, 10, unit="g").refusal.startswith("15000 g is more than the scale can weigh")


def test_a_scale_shows_nine_intervals_beyond_its_capacity() -> None:
    assert read_number("12.009", 3, 12).value == Decimal("12.009")
    assert "more than the scale can weigh (12 kg)" in read_number("12.010", 3, 12).refusal


def test_fields_in_grams() -> None:
    assert read_number("30.22 g", 2, 500, unit="g").value == Decimal("30.22")
    assert read_number("0.3kg", 2, 500, unit="g").candidates == (Decimal(300), Decimal("0.3"))
    with pytest.raises(KeyError):
        read_number("1", 2, 500, unit="stone")


@given(st.integers(0, 999_999).map(lambda n: Decimal(n).scaleb(-3)), st.sampled_from(".,"))
def test_what_a_scale_shows_comes_back_as_it_was_shown(shown: Decimal, mark: str) -> None:
    assert read_number(f"{shown:f}".replace(".", mark), 3, 999).value == (shown if shown <= Decimal("999.009") else None)


@given(st.text(max_size=12))
def test_whatever_is_typed_gets_exactly_one_kind_of_answer(text: str) -> None:
    for reading in (read_number(text, 3, TRUCK_KG), read_count(text), read_hours(text), read_moisture(text, Basis.WET)):
        assert [reading.value is not None, bool(reading.question), bool(reading.refusal)].count(True) == 1


@pytest.mark.parametrize("text", ["", "R26-SG1", "-3", "4l.83", "41x", "41..8", "12.3456", "4163", "6000", "1,234", "895g", "5."])
def test_every_answer_has_its_japanese(text: str) -> None:
    for capacity in (60, 2_000):
        english, japanese = (read_number(text, 3, capacity, language=x) for x in ("en", "ja"))
        assert japanese.candidates == english.candidates
        assert bool(japanese.question) == bool(english.question)
        said = japanese.question + japanese.refusal
        assert english.value is not None or (said.endswith("。") and said.isascii() is False)


def test_counts_are_whole() -> None:
    assert read_count("996 tins").value == 996
    assert read_count("1,234").value == 1234
    assert read_count("996個").value == 996
    assert read_count("1000000").value == 1_000_000
    assert read_count("12.5").refusal == "“12.5” is not a whole number. Count again."
    assert "more than 1000000" in read_count("2000000").refusal
    assert "looks like a code" in read_count("49123456").refusal
    assert read_count("12 kg").candidates == (Decimal(12),)
    assert "0 counts as an answer" in read_count("").refusal


def test_hours_as_a_decimal_or_by_the_clock() -> None:
    assert read_hours("22.5").value == read_hours("22:30").value == read_hours("22 h 30").value == Decimal("22.5")
    assert read_hours("22時間30分").value == Decimal("22.5")
    assert read_hours("1358 h").value == 1358
    assert read_hours("90 min").candidates == (Decimal("1.5"), Decimal(90))
    assert read_hours("3 days").candidates == (Decimal(72), Decimal(3))
    assert read_hours("22.555").refusal == "The field takes 2 decimals; “22.555” has more."
    assert "more than 9999 h" in read_hours("12000").refusal
    assert read_hours("100 min", language="ja").candidates == (Decimal("1.67"), Decimal(100))


def test_moisture_on_both_bases() -> None:
    assert read_moisture("80,3 %", Basis.WET).value == Decimal("80.3")
    assert read_moisture("407.61", Basis.DRY).value == Decimal("407.61")
    assert read_moisture("400", Basis.WET).refusal.endswith("Did you mean per 100 dry?")
    assert read_moisture("100", Basis.WET).refusal.endswith("Did you mean per 100 dry?")
    assert "乾量基準" in read_moisture("400", Basis.WET, "ja").refusal
    assert read_moisture("99.99", Basis.WET).value == Decimal("99.99")
    assert read_moisture("80.333", Basis.WET).refusal == "The field takes 2 decimals; “80.333” has more."
    assert "more than 2000" in read_moisture("3000", Basis.DRY).refusal


def test_no_tea_is_drier_than_one_in_a_hundred() -> None:
    assert read_moisture("0.803", Basis.WET).candidates == (Decimal("80.3"),)
    assert read_moisture("0.05", Basis.WET).candidates == (Decimal("0.05"), Decimal(5))
    zero = read_moisture("0", Basis.WET)
    assert zero.question == "0 per 100 is drier than any tea. Is it 0 %?"
    assert read_moisture("0.05", Basis.WET, "ja").question.startswith("水分 0.05 は")
