"""Sentences of balances, as the desk reads them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from lots.balance.closure import verdict_of
from lots.balance.totals import total
from lots.balance.words import (
    amount_text,
    balance_sentence,
    how_far,
    how_much,
    live_sentence,
    total_sentence,
    verdict_text,
)
from lots.trade.stages import STAGES
from lots.trade.weighing import Balance, Verdict

KG = 1_000_000
SP = "\u00a0"


def balance(input_kg: float, d_kg: float, e_kg: float, z: float | None, why: str = "") -> Balance:
    """A balance by its figures in kg; u and scatter follow from z."""
    u_kg = abs((d_kg - e_kg) / z) if z else 0.1
    verdict = Verdict.CANNOT if z is None else verdict_of(z)
    return Balance(input_kg * KG, (input_kg - d_kg) * KG, 0.0, d_kg * KG, u_kg * KG, e_kg * KG, 0.0, z, verdict, why)


LOST = balance(58.8, 2.85, 0.47, 8.6)
GAINED = balance(42.4, -2.62, 0.0, -29.1)
FITS = balance(58.8, 0.44, 0.47, -0.1)
UNJUDGED = balance(10, 1, 1, None, "Moisture of stem was not measured.")


def test_verdict_words() -> None:
    assert [verdict_text(v) for v in Verdict] == ["adds up", "look", "stop", "cannot be judged"]
    assert [verdict_text(v, "ja") for v in Verdict] == ["合う", "見る", "止める", "判定できず"]


@pytest.mark.parametrize(("mass_kg", "said"), [
    (2.381, f"2.4{SP}kg"), (-2.621, f"2.6{SP}kg"), (0.313, f"0.31{SP}kg"), (0.057, f"57{SP}g"), (12.0, f"12.0{SP}kg"),
])
def test_amounts_have_no_sign(mass_kg: float, said: str) -> None:
    assert amount_text(mass_kg * KG) == said


def test_headlines() -> None:
    assert how_much(LOST) == f"2.4{SP}kg missing"
    assert how_much(GAINED, places=2) == f"2.62{SP}kg too much"
    assert how_much(GAINED, "ja", 2) == f"2.62{SP}kg 多い"
    assert how_far(8.6) == "8.6 times the usual scatter"
    assert how_far(-29.1, "ja") == "いつものばらつきの 29.1 倍"
    assert how_much(UNJUDGED) == how_far(None) == ""


def test_sentences_of_the_stages() -> None:
    assert balance_sentence(LOST, "refining") == f"Sorting lost 2.4{SP}kg too many."
    assert balance_sentence(GAINED, "counting") == f"The shelf holds 2.6{SP}kg too many."
    assert balance_sentence(replace(GAINED, d_mg=2 * KG), "counting") == f"The shelf is 2.0{SP}kg short."
    assert balance_sentence(FITS, "refining") == f"Sorting adds up: 0.4{SP}kg missing, usual 0.5."
    assert balance_sentence(LOST) == f"2.4{SP}kg too many went missing."
    assert balance_sentence(LOST, "refining", "ja") == f"仕立てで 2.4{SP}kg 余計に減った。"
    assert balance_sentence(FITS, "refining", "ja") == f"仕立ては合う。不足 0.4{SP}kg、いつもは 0.5。"


@pytest.mark.parametrize("language", ["en", "ja"])
def test_every_judged_stage_has_its_own_sentence(language: str) -> None:
    judged = [key for key, stage in STAGES.items() if stage.judged]
    for found in (LOST, GAINED, FITS):
        said = {balance_sentence(found, key, language) for key in [*judged, ""]}
        assert len(said) == len(judged) + 1


def test_what_adds_up_says_what_is_usual_only_where_something_is() -> None:
    assert balance_sentence(balance(42, 0.1, 0.0, 1.0), "counting") == f"The shelf adds up: 0.1{SP}kg missing."
    assert balance_sentence(balance(42, -0.1, 0.0, -1.0), "counting") == f"The shelf adds up: 0.1{SP}kg too many."
    assert balance_sentence(balance(42, -0.1, 0.3, -1.0), "milling") == (
        f"The stones add up: 0.1{SP}kg too many, usual 0.3 missing.")


def test_what_cannot_be_judged_says_why() -> None:
    assert balance_sentence(UNJUDGED, "milling") == "Moisture of stem was not measured."
    assert live_sentence(UNJUDGED) == "Moisture of stem was not measured."


def test_live_sentences() -> None:
    assert live_sentence(LOST) == f"Still to find: 2.9{SP}kg of 58.8."
    assert live_sentence(FITS) == f"Adds up so far: 0.4{SP}kg missing, usual 0.5."
    assert live_sentence(GAINED) == f"2.6{SP}kg more came out than the 42.4 that went in."
    assert live_sentence(balance(58.8, 0.1, 0.5, -4)) == f"Only 0.1{SP}kg missing, usual 0.5."
    assert live_sentence(FITS, "ja") == f"ここまで合う。不足 0.4{SP}kg、いつもは 0.5。"
    assert live_sentence(LOST, "ja") == f"58.8 のうち、あと 2.9{SP}kg。"


def test_small_loads_are_told_in_grams() -> None:
    assert live_sentence(balance(0.855, 0.006, 0.007, -0.2)) == f"Adds up so far: 6{SP}g missing, usual 7."
    assert live_sentence(balance(7.332, 0.369, 0.057, 9.7)) == f"Still to find: 0.37{SP}kg of 7.33."


def test_totals_warn_of_what_they_hide() -> None:
    hides = total([balance(7.3, 0.313, 0.0, 9.7), balance(6.7, -0.292, 0.0, -9.7), UNJUDGED])
    assert hides.balance.verdict is Verdict.ADDS_UP
    assert total_sentence(hides, "milling") == (
        f"The stones add up: 0.02{SP}kg missing. One of them alone says stop; the sum hides it. "
        "1 of 3 cannot be judged and is not in this sum.")
    assert total_sentence(hides, "milling", "ja").endswith("3 件のうち 1 件は判定できず、この合計に入っていない。")
    assert total_sentence(total([LOST]), "refining") == f"Sorting lost 2.4{SP}kg too many."
    assert total_sentence(total([])) == "There is no balance to sum yet."


def test_not_known_is_said_in_words() -> None:
    assert amount_text(math.nan, 2) == "not known"
