from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.recall.accounting import (
    Accounting,
    Answer,
    effectiveness,
    mass_reconciled,
    percent_words,
    progress,
    sample_count,
)
from lots.recall.ranges import RecallError

SEASON = Path(__file__).parents[2] / "fixtures" / "demo_season.json"
OWN = Accounting(made_count=640, retained_count=6, destroyed_count=4, on_hand_count=69, dispatched_count=560)
ANSWERS = (
    Answer(240, returned_count=180, destroyed_count=20, used_count=30),
    Answer(200, returned_count=150, used_count=50),
    Answer(120, answered=False),
)


def test_a_case_worked_by_hand() -> None:
    assert OWN.unaccounted_count == 1
    assert OWN.reconciled_frac == Fraction(639, 640)
    assert [each.open_count for each in ANSWERS] == [10, 0, 120]
    found = progress(OWN, ANSWERS)
    assert found.recovery_frac == Fraction(350, 560)
    assert found.accounted_frac == Fraction(430, 560)
    assert found.under_control_frac == Fraction(429, 640)
    assert found.response_frac == Fraction(2, 3)
    assert found.response_by_count_frac == Fraction(440, 560)
    assert (found.held_frac, found.open_count, found.not_listed_count) == (0, 130, 0)


def test_the_same_case_in_words() -> None:
    found = progress(OWN, ANSWERS)
    shown = [OWN.reconciled_frac, found.recovery_frac, found.accounted_frac, found.under_control_frac, found.response_frac]
    assert [percent_words(each) for each in shown] == ["99.84 %", "62.50 %", "76.79 %", "67.03 %", "66.67 %"]


def test_the_tins_of_the_season_are_all_accounted_for() -> None:
    packs = json.loads(SEASON.read_text(encoding="utf-8"))["packs"]
    tins = next(each for each in packs if each["lot"] == "K26-06")
    shipped = (360, 240, 300)
    own = Accounting(tins["tins_30g"] + tins["retained_tins"], tins["retained_tins"], 0, 48, sum(shipped))
    assert (own.made_count, own.dispatched_count, own.unaccounted_count) == (956, 900, 0)
    assert percent_words(own.reconciled_frac) == "100 %"


def test_more_found_than_made_shows_its_sign() -> None:
    own = Accounting(100, 0, 0, 50, 53)
    assert own.unaccounted_count == -3
    assert percent_words(own.reconciled_frac) == "103.00 %"


def test_held_packs_count_as_recovered_and_are_told_apart() -> None:
    found = progress(Accounting(100, 0, 0, 0, 100), [Answer(100, returned_count=40, held_count=35)])
    assert (found.recovery_frac, found.held_frac) == (Fraction(75, 100), Fraction(35, 100))


def test_a_consignee_missing_from_the_list_is_seen() -> None:
    assert progress(OWN, ANSWERS[:2]).not_listed_count == 120
    assert progress(OWN, [*ANSWERS, Answer(1)]).not_listed_count == -1


def test_more_reported_than_sent_is_shown_below_zero() -> None:
    assert Answer(10, returned_count=12).open_count == -2


def test_nothing_made_or_sent_is_not_applicable() -> None:
    found = progress(Accounting(0, 0, 0, 0, 0), [])
    shares = (found.recovery_frac, found.accounted_frac, found.under_control_frac, found.response_frac,
              found.response_by_count_frac, Accounting(0, 0, 0, 0, 0).reconciled_frac)
    assert {percent_words(each) for each in shares} == {"not applicable"}


def test_lots_add_up() -> None:
    assert OWN + Accounting(10, 1, 2, 3, 4) == Accounting(650, 7, 6, 72, 564)


def test_counts_below_zero_and_silent_answers_with_figures_are_refused() -> None:
    with pytest.raises(RecallError, match="-1 packs"):
        Accounting(1, 0, 0, -1, 0)
    with pytest.raises(RecallError, match="-2 packs"):
        Answer(1, used_count=-2)
    with pytest.raises(RecallError, match="Tea Room North is marked as silent but has 4 packs"):
        Answer(5, returned_count=2, used_count=2, answered=False, consignee="Tea Room North")


def test_effectiveness_counts_notices_that_were_acted_on() -> None:
    assert effectiveness(8, 7) == Fraction(7, 8)
    assert effectiveness(0, 0) is None
    with pytest.raises(RecallError, match="only 3 were checked"):
        effectiveness(3, 4)


@pytest.mark.parametrize(
    ("share", "consignees", "asked"),
    [("1", 37, 37), ("1/10", 37, 4), ("1/10", 40, 4), ("1/50", 37, 1), ("1/50", 3, 1), ("0", 37, 0), ("1/50", 0, 0)],
)
def test_the_sample_is_rounded_up_and_never_nobody(share: str, consignees: int, asked: int) -> None:
    assert sample_count(Fraction(share), consignees) == asked


def test_a_level_outside_its_range_is_refused() -> None:
    with pytest.raises(RecallError, match="between 0 and 1"):
        sample_count(Fraction(11, 10), 5)


def test_mass_is_reconciled_with_its_signed_difference() -> None:
    assert mass_reconciled(1000, [900, 60, 40]) == (1, 0)
    assert mass_reconciled(1000, [900, 60, 40.5]) == (Fraction(2001, 2000), Fraction(-1, 2))
    assert mass_reconciled(2500, [2499]) == (Fraction(2499, 2500), 1)
    assert percent_words(mass_reconciled(2500, [2499])[0], decimals=0) == "99 %"
    assert mass_reconciled(0, []) == (None, 0)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("1", "100 %"), ("0", "0 %"), ("9996/10000", "99.96 %"), ("999999/1000000", "99.99 %"),
        ("1000001/1000000", "100.01 %"), ("1/1000000", "0.01 %"), ("1/3", "33.33 %"), ("5/100000", "0.01 %"),
        ("33335/100000", "33.34 %"), ("-1/3", "−33.33 %"), ("-1", "−100 %"), ("2", "200.00 %"),
    ],
)
def test_percentages_in_words(value: str, words: str) -> None:
    assert percent_words(Fraction(value)) == words


def test_no_share_is_not_applicable_and_decimals_are_the_caller_s() -> None:
    assert percent_words(None) == "not applicable"
    assert percent_words(Fraction(9996, 10000), decimals=1) == "99.9 %"
    assert percent_words(Fraction(2, 3), decimals=0) == "67 %"


@given(st.integers(0, 10**7), st.integers(1, 10**7), st.integers(0, 4))
def test_a_hundred_percent_is_exactly_everything(part: int, whole: int, decimals: int) -> None:
    words = percent_words(Fraction(part, whole), decimals)
    shown = Fraction(words.removesuffix(" %")) / 100
    assert (words == "100 %") == (part == whole)
    assert (shown == 1) == (part == whole)
    assert (shown == 0) == (part == 0)
    assert abs(shown - Fraction(part, whole)) <= Fraction(1, 100 * 10**decimals)


packs = st.integers(0, 200)


@given(packs, packs, packs, packs, st.lists(st.tuples(packs, packs, packs, packs, packs), max_size=5))
def test_every_pack_is_in_exactly_one_place(
    retained: int, destroyed: int, on_hand: int, missing: int, rows: list[tuple[int, int, int, int, int]]
) -> None:
    answers = [Answer(sum(row), *row[:4]) for row in rows]
    dispatched = sum(each.dispatched_count for each in answers)
    made = retained + destroyed + on_hand + dispatched + missing
    own = Accounting(made, retained, destroyed, on_hand, dispatched)
    found = progress(own, answers)
    assert own.unaccounted_count == missing
    assert found.open_count == sum(row[4] for row in rows)
    if dispatched:
        assert found.accounted_frac == 1 - Fraction(found.open_count, dispatched)
    if made:
        used = sum(each.used_count for each in answers)
        assert found.under_control_frac == 1 - Fraction(missing + found.open_count + used, made)
