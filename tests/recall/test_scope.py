from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from lots.recall.accounting import Accounting, Answer, percent_words, progress
from lots.recall.facts import SeriesFact, ShipmentFact
from lots.recall.ranges import RecallError, Span
from lots.recall.scope import recall_scope
from lots.trade.lineage import Tier

TINS = SeriesFact(1, "K26-06", "tin 30 g", 1, 956, 60, "K26-06/30", retained_count=8, on_hand_count=48)
BAGS = SeriesFact(2, "K26-06", "bag 100 g", 1001, 1109, 61, "K26-06/100", on_hand_count=9)
OTHER = SeriesFact(3, "K26-02", "tin 30 g", 1, 100, 40, "K26-02/30")
FAR = SeriesFact(4, "K26-01", "tin 30 g", 1, 50, 30, "K26-01/30")
SERIES = (FAR, OTHER, BAGS, TINS)


def sent(series: int, consignee: str, numbers: tuple[int, int] | None, day: int, count: int | None = None) -> ShipmentFact:
    first, last = numbers or (None, None)
    how_many = count if count is not None else numbers[1] - numbers[0] + 1
    return ShipmentFact(series, consignee, first, last, how_many, f"D-{day:02}", date(2026, 8, day))


SHIPMENTS = (
    sent(1, "Tea Room North", (1, 360), 4),
    sent(1, "Cafe Delta", (361, 600), 5),
    sent(2, "Cafe Delta", None, 5, 40),
    sent(1, "Example Importer East", (601, 900), 11),
    sent(2, "Example Importer East", None, 11, 60),
    sent(3, "Tea Room North", (1, 10), 2),
)


def test_a_series_is_in_the_tier_of_its_step() -> None:
    scope = recall_scope({60, 61}, SERIES, SHIPMENTS, {40: 311_000}, {30: "pair 5 opened and cleaned at step 29"})
    assert [(each.fact.series, each.tier) for each in scope.series] == [
        (1, Tier.CONTAINS), (2, Tier.CONTAINS), (3, Tier.TOUCHED), (4, Tier.EXCLUDED)
    ]
    assert scope.of_tier(Tier.TOUCHED)[0].bound_mg == 311_000
    assert scope.of_tier(Tier.EXCLUDED)[0].reason == "pair 5 opened and cleaned at step 29"
    assert scope.questions == ()


def test_a_series_that_nothing_ties_to_the_case_is_not_in_the_answer() -> None:
    scope = recall_scope({40}, SERIES, SHIPMENTS, {})
    assert [each.fact.series for each in scope.series] == [3]
    assert set(scope.exact) == {"Tea Room North"}


def test_the_gravest_tier_counts() -> None:
    scope = recall_scope({40}, [OTHER], [], {40: 5}, {40: "cleaned"})
    assert (scope.series[0].tier, scope.series[0].bound_mg, scope.series[0].reason) == (Tier.CONTAINS, None, "")
    assert recall_scope(set(), [OTHER], [], {40: None}, {40: "cleaned"}).series[0].tier is Tier.TOUCHED


def test_counts_of_the_season_s_two_sizes() -> None:
    tins, bags = recall_scope({60, 61}, SERIES, SHIPMENTS, {}).series
    assert tins.accounting == Accounting(956, 8, 0, 48, 900)
    assert (tins.unaccounted_count, tins.by_book_count, tins.not_sent) == (0, 48, (Span(901, 956),))
    assert bags.accounting == Accounting(109, 0, 0, 9, 100)
    assert (bags.unaccounted_count, bags.not_sent) == (0, None)


def test_the_whole_recall_adds_its_series_and_leaves_the_excluded_out() -> None:
    scope = recall_scope({60}, SERIES, SHIPMENTS, {61: None}, {30: "cleaned"})
    assert scope.accounting == Accounting(1065, 8, 0, 57, 1000)
    assert scope.uncounted == ()


def test_a_shelf_that_nobody_counted_proves_nothing() -> None:
    scope = recall_scope({40, 60}, SERIES, SHIPMENTS, {})
    uncounted = scope.uncounted
    assert [each.fact.series for each in uncounted] == [3]
    assert (uncounted[0].unaccounted_count, uncounted[0].by_book_count, scope.accounting) == (None, 90, None)


def test_a_miscounted_shelf_shows_its_sign() -> None:
    for on_hand, missing in ((46, 2), (51, -3)):
        fact = replace(TINS, on_hand_count=on_hand)
        assert recall_scope({60}, [fact], SHIPMENTS[:2] + SHIPMENTS[3:4], {}).series[0].unaccounted_count == missing


def test_consignees_have_exact_lists_and_lists_by_count_apart() -> None:
    scope = recall_scope({60, 61}, SERIES, SHIPMENTS, {})
    assert list(scope.exact) == ["Cafe Delta", "Example Importer East", "Tea Room North"]
    assert list(scope.may_have_received) == ["Cafe Delta", "Example Importer East"]
    exact = scope.exact["Cafe Delta"]
    assert [(each.shipment.span, each.shipment.document, each.fact.product) for each in exact] == [
        (Span(361, 600), "D-05", "tin 30 g")
    ]
    by_count = scope.may_have_received["Cafe Delta"]
    assert [(each.shipment.count, each.shipment.span, each.tier) for each in by_count] == [(40, None, Tier.CONTAINS)]
    assert scope.dispatched_by_consignee == {"Cafe Delta": 280, "Example Importer East": 360, "Tea Room North": 360}


def test_lists_put_the_certain_first_then_the_day() -> None:
    rows = [sent(1, "Tea Room North", (11, 20), 9), sent(3, "Tea Room North", (1, 5), 1), sent(1, "Tea Room North", (1, 10), 3)]
    scope = recall_scope({60}, [TINS, OTHER], rows, {40: None})
    listed = [(each.tier, each.shipment.date.day) for each in scope.exact["Tea Room North"]]
    assert listed == [(Tier.CONTAINS, 3), (Tier.CONTAINS, 9), (Tier.TOUCHED, 1)]


def test_an_excluded_series_reaches_no_list_and_no_question() -> None:
    rows = [sent(3, "Tea Room North", (1, 300), 1, count=2)]
    scope = recall_scope(set(), [OTHER], rows, {}, {40: "cleaned"})
    assert (scope.exact, scope.may_have_received, scope.questions) == ({}, {}, ())
    assert scope.accounting == Accounting(0, 0, 0, 0, 0)


def test_packs_sent_twice_are_asked_about() -> None:
    rows = [sent(1, "Tea Room North", (1, 360), 4), sent(1, "Cafe Delta", (351, 600), 5)]
    scope = recall_scope({60}, [TINS], rows, {})
    assert scope.questions == ("Packs 351–360 of run K26-06 were sent twice. Did they come back in between?",)


def test_packs_that_came_back_may_be_sent_again() -> None:
    first = ShipmentFact(1, "Tea Room North", 1, 10, 10, "D-01", date(2026, 8, 1), returned_count=10)
    scope = recall_scope({60}, [TINS], [first, sent(1, "Cafe Delta", (1, 4), 5)], {})
    assert scope.questions == ()
    assert scope.series[0].dispatched_count == 4
    assert scope.series[0].not_sent == (Span(5, 956),)
    in_part = replace(first, returned_count=6)
    assert recall_scope({60}, [TINS], [in_part], {}).series[0].not_sent is None


def test_numbers_that_do_not_fit_are_asked_about() -> None:
    rows = [sent(1, "Tea Room North", (900, 1000), 4), sent(1, "Cafe Delta", (1, 10), 5, count=12)]
    beyond, miscounted = recall_scope({60}, [TINS], rows, {}).questions
    assert beyond == "D-04 to Tea Room North: run K26-06 has no packs 957–1000. Which numbers went?"
    assert miscounted == "D-05 to Cafe Delta: 12 packs, but the numbers 1–10 of run K26-06 are 10. Which one is right?"


def test_more_sent_than_made_is_asked_about() -> None:
    scope = recall_scope({61}, [BAGS], [sent(2, "Cafe Delta", None, 5, 120)], {})
    assert scope.questions == (
        "Run K26-06, K26-06/100: 11 packs more were kept, destroyed or sent than were made. Which count is wrong?",
    )


def test_everything_sent_to_the_last_pack_is_no_question() -> None:
    all_gone = replace(BAGS, destroyed_count=9, on_hand_count=0)
    scope = recall_scope({61}, [all_gone], [sent(2, "Cafe Delta", None, 5, 100)], {})
    assert (scope.questions, scope.series[0].by_book_count, scope.series[0].unaccounted_count) == ((), 0, 0)


def test_one_day_s_deliveries_follow_their_numbers() -> None:
    rows = [sent(1, "Cafe Delta", (21, 30), 5), sent(1, "Cafe Delta", (1, 10), 5)]
    listed = recall_scope({60}, [TINS], rows, {}).exact["Cafe Delta"]
    assert [each.shipment.first_no for each in listed] == [1, 21]


def test_two_series_of_one_run_with_the_same_numbers_are_asked_about() -> None:
    scope = recall_scope({60, 61}, [TINS, replace(BAGS, first_no=950, last_no=1000)], [], {})
    assert scope.questions == ("Run K26-06 has two series with the pack numbers 950–956. Which one is right?",)


def test_void_numbers_were_never_made() -> None:
    fact = replace(TINS, void_count=6, on_hand_count=42)
    scope = recall_scope({60}, [fact], SHIPMENTS[:2] + SHIPMENTS[3:4], {})
    assert scope.series[0].accounting == Accounting(950, 8, 0, 42, 900)


def test_a_list_that_would_lack_a_consignee_is_refused() -> None:
    with pytest.raises(RecallError, match="D-05 to Cafe Delta names pack series 2, which was not looked at"):
        recall_scope({60}, [TINS], [sent(2, "Cafe Delta", None, 5, 4)], {})
    with pytest.raises(RecallError, match="series 1 was given twice"):
        recall_scope({60}, [TINS, TINS], [], {})


def test_facts_that_cannot_be_are_refused() -> None:
    day = date(2026, 8, 1)
    with pytest.raises(RecallError, match="names one end"):
        ShipmentFact(1, "Cafe Delta", 1, None, 1, "D-01", day)
    with pytest.raises(RecallError, match="backwards"):
        ShipmentFact(1, "Cafe Delta", 5, 1, 1, "D-01", day)
    with pytest.raises(RecallError, match="3 packs sent, 4 back"):
        ShipmentFact(1, "Cafe Delta", None, None, 3, "D-01", day, returned_count=4)
    with pytest.raises(RecallError, match="backwards"):
        replace(TINS, first_no=5, last_no=4)
    with pytest.raises(RecallError, match="below zero"):
        replace(TINS, retained_count=-1)
    with pytest.raises(RecallError, match="957 void packs of 956"):
        replace(TINS, void_count=957)
    assert replace(TINS, void_count=956).made_count == 0


def test_from_scope_to_progress() -> None:
    scope = recall_scope({60, 61}, SERIES, SHIPMENTS, {})
    answers = [Answer(count, returned_count=count, consignee=name) for name, count in scope.dispatched_by_consignee.items()]
    assert scope.accounting is not None
    found = progress(scope.accounting, answers)
    assert (percent_words(found.recovery_frac), found.not_listed_count, found.open_count) == ("100 %", 0, 0)


def test_every_question_is_said_in_japanese_too() -> None:
    rows = [sent(1, "Tea Room North", (900, 1000), 4), sent(1, "Cafe Delta", (1, 10), 5, count=12), sent(1, "Cafe Delta", (1, 4), 6)]
    asked = recall_scope({60, 61}, [TINS, BAGS], [*rows, sent(2, "Cafe Delta", None, 5, 120)], {}).questions
    assert [question.text("ja") for question in asked] == [
        "D-04（Tea Room North 宛）：包装 K26-06 に番号 957–1000 はない。どの番号が出たか。",
        "D-05（Cafe Delta 宛）：12個とあるが、包装 K26-06 の番号 1–10 は10個。どちらが正しいか。",
        "包装 K26-06 の 1–4 が二度出ている。間に戻ったか。",
        "包装 K26-06、K26-06/100：作った数より11個多く、保存、廃棄、出荷されている。どの数が違うか。",
    ]
    assert [question.text("en") for question in asked] == list(asked)
