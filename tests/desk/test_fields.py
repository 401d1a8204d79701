"""Fields read what hands type and scanners send, and answer with a sentence where they cannot."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone, translation

from lots.codes.lots import new_lot_code, print_form
from lots.codes.packs import pack_code
from lots.desk.forms.fields import (
    ChoiceStrip,
    CountField,
    HoursField,
    MassField,
    MeasureField,
    MoistureField,
    MomentField,
    ReasonField,
    ScanField,
)
from lots.desk.forms.moments import TypedMoment, read_clock, read_day
from lots.desk.forms.widgets import Typed, TypedMoisture
from lots.trade.moisture import Basis

TUB = MassField(places=3, capacity=30)
BIG = MassField(places=3, capacity=2000)
LOT = new_lot_code("R", 2026, 1)
PACK = pack_code(7, 11, b"s" * 32)  # the same in every process: test ids are made of it


def refusal(field: Any, value: Any) -> ValidationError:
    with pytest.raises(ValidationError) as raised:
        field.clean(value)
    return raised.value


# The vectors of reference/trade_and_desk.md 6.2 rule 12, which were run there for kg with three places.
@pytest.mark.parametrize(("typed", "mass_mg"), [
    ("41.83", 41_830_000), ("41,83", 41_830_000), ("４１．８３", 41_830_000), ("４１，８３", 41_830_000), (" 41.83 kg", 41_830_000),
    ("41。83", 41_830_000), ("0,895", 895_000), (".5", 500_000), ("1.234,5", 1_234_500_000), ("1,234.5", 1_234_500_000),
    ("1 234,5", 1_234_500_000), ("1'234.5", 1_234_500_000),
])
def test_a_mass_is_read_as_whole_milligrams(typed: str, mass_mg: int) -> None:
    assert BIG.clean(Typed(typed)) == mass_mg


@pytest.mark.parametrize("typed", ["41..83", "41.8.3", "-3", "4l.83", "", "12.3456", LOT, "12345678"])
def test_what_is_no_mass_is_refused_with_a_sentence(typed: str) -> None:
    fault = refusal(BIG, Typed(typed))
    assert fault.messages[0].endswith(".") or fault.messages[0].endswith("?")
    assert "invalid" not in fault.messages[0].lower()


def test_an_ambiguous_figure_asks_and_offers_both_readings() -> None:
    fault = refusal(BIG, Typed("1,234"))
    assert fault.error_list[0].code == "asked"
    assert fault.error_list[0].params == {"candidates": [("1.234", "1.234\u00a0kg"), ("1234", "1234\u00a0kg")]}


@pytest.mark.parametrize(("meant", "mass_mg"), [("1.234", 1_234_000), ("1234", 1_234_000_000)])
def test_the_reading_that_was_meant_is_taken(meant: str, mass_mg: int) -> None:
    assert BIG.clean(Typed("1,234", meant)) == mass_mg


@pytest.mark.parametrize("meant", ["999", "nan", "words", "1.2340001"])
def test_a_reading_that_was_not_offered_is_not_taken(meant: str) -> None:
    assert refusal(BIG, Typed("1,234", meant)).error_list[0].code == "asked"


def test_the_scale_decides_what_fits() -> None:
    assert TUB.clean(Typed("1,234")) == 1_234_000
    assert "30" in refusal(TUB, Typed("41.83")).messages[0]


def test_grams_become_milligrams() -> None:
    assert MassField(places=2, capacity=600, unit="g").clean(Typed("30.25")) == 30_250


def test_an_earlier_mass_is_shown_with_the_decimals_of_the_scale() -> None:
    assert TUB.shown(895_000) == "0.895"
    assert MassField(unit="g", places=1).shown(30_250) == "30.3"


def test_an_empty_line_that_may_be_empty_is_nothing() -> None:
    assert MassField(required=False).clean(Typed("")) is None
    assert MoistureField(required=False).clean(TypedMoisture("")) is None


@pytest.mark.parametrize(("typed", "basis", "wet_frac"), [
    ("5.1", "wet", Decimal("0.051")), ("400", "dry", Decimal("0.8")), ("5,4", "dry", Decimal("0.051233")),
])
def test_a_moisture_is_kept_on_the_wet_basis(typed: str, basis: str, wet_frac: Decimal) -> None:
    moisture = MoistureField().clean(TypedMoisture(typed, basis=basis))
    assert (moisture.wet_frac, moisture.basis) == (wet_frac, Basis(basis))
    assert moisture.typed == Decimal(typed.replace(",", "."))


def test_a_moisture_without_basis_asks_for_it() -> None:
    assert refusal(MoistureField(), TypedMoisture("5.1")).messages == ["Say whether 5.1 is per 100 wet or per 100 dry."]


def test_a_hundred_per_hundred_wet_cannot_be() -> None:
    assert "per 100 dry" in refusal(MoistureField(), TypedMoisture("400", basis="wet")).messages[0]


def test_an_earlier_moisture_is_shown_per_100_wet() -> None:
    assert MoistureField().shown(0.051) == "5.1"


def test_counts_hours_and_other_figures() -> None:
    assert CountField().clean(Typed("1,206")) == 1206
    assert HoursField().clean(Typed("22:30")) == HoursField().clean(Typed("22.5")) == Decimal("22.5")
    assert MeasureField(unit="°C", places=1).clean(Typed("21,8 °C")) == Decimal("21.8")
    assert "whole" in refusal(CountField(), Typed("1.5")).messages[0]


@pytest.mark.parametrize("typed", [LOT, LOT.lower(), print_form(LOT), f" {LOT} ", f"{LOT[:3]}½{LOT[3:]}", "".join(chr(ord(c) + 0xFEE0) for c in LOT)])
def test_a_lot_is_known_in_every_spelling(typed: str) -> None:
    scanned = ScanField().clean(typed)
    assert (scanned.kind, scanned.code, scanned.typed) == ("lot", LOT, typed.strip())


@pytest.mark.parametrize("typed", [PACK, f"https://trace.example/p/{PACK}", f"https'&&trace.example&p&{PACK}"])
def test_a_pack_is_known_by_its_code_or_its_address(typed: str) -> None:
    assert (ScanField().clean(typed).kind, ScanField().clean(typed).code) == ("pack", PACK)


@pytest.mark.parametrize(("typed", "code"), [("sp4", "SP4"), ("ＳＰ４", "SP4"), ("R26-LM1", "R26-LM1")])
def test_other_codes_are_names(typed: str, code: str) -> None:
    assert (ScanField().clean(typed).kind, ScanField().clean(typed).code) == ("name", code)


def test_a_name_is_also_known_as_codes_are_compared() -> None:
    assert ScanField().clean("r26-lo1").folded == "R26101"


def test_a_code_of_another_kind_is_refused() -> None:
    assert "no lot code of ours" in refusal(ScanField(kinds=("lot",)), "SP4").messages[0]
    assert "Something else is wanted" in refusal(ScanField(kinds=("name",)), PACK).messages[0]
    assert "no pack code of ours" in refusal(ScanField(kinds=("pack",)), LOT).messages[0]


def test_a_worn_sign_is_no_lot() -> None:
    worn = LOT[:-1] + ("A" if LOT[-1] != "A" else "B")
    assert ScanField().clean(worn).kind == "name"
    assert worn in refusal(ScanField(kinds=("lot",)), worn).messages[0]


def test_nothing_scanned_and_too_much_scanned() -> None:
    assert refusal(ScanField(), "  ").messages == ["Nothing was scanned. Scan the code, or type it."]
    assert "longer than any code" in refusal(ScanField(), "Z9" * 400).messages[0]


def test_a_strip_takes_one_of_its_answers() -> None:
    strip = ChoiceStrip(choices=[("on", "runs on")])
    assert strip.clean("on") == "on"
    assert refusal(strip, "").messages == ["Choose one."]
    assert refusal(strip, "off").messages == ["off is not one of the answers. Choose again."]


def test_a_reason_is_asked_in_words_and_never_cut_off() -> None:
    assert refusal(ReasonField(), " ").messages == ["Say why, in a few words."]
    assert "maxlength" not in ReasonField().widget.attrs


# When ----------------------------------------------------------------------------------------------------------------


def anchored(choice: str, ago: dt.timedelta = dt.timedelta(0), day: str = "", clock: str = "") -> TypedMoment:
    at = timezone.localtime() - ago
    return TypedMoment(choice, at.isoformat(timespec="seconds"), day, clock)


def test_now_is_the_moment_that_the_page_showed_and_stays_it() -> None:
    typed = anchored("now", dt.timedelta(minutes=3))
    first, second = MomentField().clean(typed), MomentField().clean(typed)
    assert first == second == dt.datetime.fromisoformat(typed.anchor)
    assert timezone.is_aware(first)


def test_five_minutes_ago_counts_from_the_same_moment() -> None:
    typed = anchored("recently")
    assert MomentField().clean(typed) == dt.datetime.fromisoformat(typed.anchor) - dt.timedelta(minutes=5)


def test_earlier_is_read_in_the_time_of_the_mill() -> None:
    at = MomentField().clean(TypedMoment("earlier", "", "2026-07-14", "8:05"))
    assert at.astimezone(dt.UTC) == dt.datetime(2026, 7, 13, 23, 5, tzinfo=dt.UTC)


def test_earlier_without_a_day_is_today() -> None:
    assert timezone.localtime(MomentField().clean(TypedMoment("earlier", "", "", "0000"))).date() == timezone.localdate()


@pytest.mark.parametrize(("typed", "sentence"), [
    (TypedMoment(), "Say when."),
    (TypedMoment("now", "yesterday"), "This page lay open too long to say now. Choose Earlier and type the time."),
    (TypedMoment("now", "2026-07-14T08:10:00"), "This page lay open too long to say now. Choose Earlier and type the time."),
    (TypedMoment("earlier", "", "2026-02-30", "8:05"), "“2026-02-30” is not a day. Type it as 2026-07-14."),
    (TypedMoment("earlier", "", "2026-07-14", "25:05"), "“25:05” is not a time. Type it as 08:05."),
    (TypedMoment("earlier", "", "2026-07-14", ""), "Type the time as well, as 08:05."),
])
def test_a_moment_that_cannot_be_is_refused(typed: TypedMoment, sentence: str) -> None:
    assert refusal(MomentField(), typed).messages == [sentence]


def test_a_page_that_lay_open_all_night_cannot_say_now() -> None:
    assert refusal(MomentField(), anchored("now", dt.timedelta(hours=13))).error_list[0].code == "stale"


def test_a_moment_to_come_is_refused() -> None:
    assert refusal(MomentField(), anchored("now", dt.timedelta(minutes=-30))).error_list[0].code == "ahead"
    far = f"{timezone.localdate().year + 1}-07-14"
    assert "has not come yet" in refusal(MomentField(), TypedMoment("earlier", "", far, "8:05")).messages[0]


def test_a_time_beside_another_answer_is_asked_about() -> None:
    assert "08:05 is typed" in refusal(MomentField(), anchored("now", clock="08:05")).messages[0]


def test_an_hour_that_the_clocks_left_out_is_refused() -> None:
    with timezone.override("Europe/Berlin"):
        assert refusal(MomentField(), TypedMoment("earlier", "", "2026-03-29", "2:30")).error_list[0].code == "gap"


@pytest.mark.parametrize("typed", ["2026-07-14", "2026/7/14", "20260714", "7-14", "7/14", "0714", "７月１４日", "2026年7月14日"])
def test_days_in_many_spellings(typed: str) -> None:
    assert read_day(typed, dt.date(2026, 8, 1)) == dt.date(2026, 7, 14)


@pytest.mark.parametrize("typed", ["8:05", "08:05", "0805", "8.05", "8時05分", "８：０５"])
def test_times_in_many_spellings(typed: str) -> None:
    assert read_clock(typed) == dt.time(8, 5)


@pytest.mark.parametrize("typed", ["", "8", "24:00", "8:60", "noon"])
def test_what_is_no_time(typed: str) -> None:
    assert read_clock(typed) is None


def test_sentences_of_the_number_reader_follow_the_language_of_the_page() -> None:
    with translation.override("ja"):
        assert refusal(BIG, Typed("")).messages == ["空欄。秤の表示を打ち込む。"]
