"""Release: names every result, the limits of the day and what nobody tested; refused where a limit is not kept."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import factory
import pytest

from lots.models import DecisionGround, Hold, Lot, LotDecision, Step
from lots.read.releases import decisions_of, is_released, state_of, waiting_for_second
from lots.read.verifying import verify_book
from lots.record import correcting, dispatch, holding, releasing
from lots.record.acts import Act
from lots.record.dispatch import Packs
from tests import factories as make
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes
from tests.record.labs import laboratory, named, report

pytestmark = pytest.mark.usefixtures("mill")


def lot_with_result() -> Lot:
    laboratory()
    lot = make.Sieved()
    report(lot)
    return lot


class Released(make.Recorded):
    """A tested lot, released for one market."""

    _record = staticmethod(releasing.release)
    badge = "C"
    lot = factory.LazyFunction(lot_with_result)
    markets = ("EU",)
    ground = "Within the limits"
    results = factory.LazyAttribute(lambda o: named(o.lot))


class NotReleased(make.Recorded):
    _record = staticmethod(releasing.refuse)
    badge = "C"
    lot = factory.LazyFunction(lot_with_result)
    ground = "Smells of smoke"
    results = factory.LazyAttribute(lambda o: named(o.lot))


def two_persons() -> int:
    lot = lot_with_result()
    make.enter("release_rule", "EU", two_persons=True)
    return Released(lot=lot).pk


class Confirmed(make.Recorded):
    _record = staticmethod(releasing.confirm)
    badge = "D"
    decision = factory.LazyFunction(two_persons)


def decision(lot: Lot, **more: Any) -> dict[str, Any]:
    told = {"lot": lot.code, "markets": ("EU",), "ground": "Within", "results": named(lot), "happened_at": make.next_moment()}
    return told | more


def test_a_release_names_its_results_its_limits_and_what_nobody_tested() -> None:
    step = Released()
    row = LotDecision.objects.get(step=step)
    assert (row.markets, row.not_tested, row.needs_second) == ("EU", "perchlorate", False)
    ground = DecisionGround.objects.get()
    assert (ground.limit.code, ground.limit.version, ground.answer) == ("EU-BAP", 1, "within")
    assert (state_of(row.lot_id, "eu"), state_of(row.lot_id, "Japan"), state_of(row.lot_id)) == ("release", "", "release")
    assert verify_book() == []


def test_a_lot_over_a_limit_is_released_only_where_it_keeps_the_limit() -> None:
    lot = lot_with_result()
    report(lot, "14")
    expect_refusal(releasing.release, "is 14 ug/kg, over its limit", **decision(lot))
    assert Hold.objects.get().lot == lot
    Released(lot=lot, markets=("Japan",))
    assert Hold.objects.get(kind="release").ends == Hold.objects.get(kind="hold")
    assert verify_book() == []


def test_a_later_result_within_sets_an_earlier_one_aside_with_a_reason() -> None:
    lot = lot_with_result()
    report(lot, "14")
    report(lot, "6")
    expect_question(releasing.release, "a later result is within", badge="C", **decision(lot))
    assert not Hold.objects.filter(ended_by=None, kind="hold").exists()
    assert [(g.answer, g.result.labresult.value) for g in DecisionGround.objects.order_by("pk")] == [
        ("within", "3"), ("over", "14"), ("within", "6"),
    ]
    assert verify_book() == []


def test_no_result_may_be_left_out() -> None:
    lot = lot_with_result()
    expect_refusal(releasing.release, "A result came in", **decision(lot, results=[]))


def test_another_stop_is_not_ended_by_a_decision() -> None:
    lot = lot_with_result()
    holding.hold(Act("C"), lot=lot.code, reason="A smell of smoke", happened_at=make.next_moment())
    expect_refusal(releasing.release, "That stop ends first", **decision(lot))


def test_an_unlot_with_result_is_asked_about() -> None:
    expect_question(releasing.release, "has no result of a laboratory", badge="C", **decision(make.Sieved()))
    assert verify_book() == []


def test_a_refused_lot_is_stopped_until_a_later_decision() -> None:
    lot = lot_with_result()
    NotReleased(lot=lot)
    hold = Hold.objects.get()
    assert (hold.lot, hold.reason, state_of(lot.pk)) == (lot, "Not released: Smells of smoke", "refuse")
    expect_refusal(holding.release, "by a decision", hold=hold.pk, reason="Fine")
    Released(lot=lot)
    assert (state_of(lot.pk), Hold.objects.filter(kind="release").count()) == ("release", 1)
    assert verify_book() == []


def test_two_persons_release_and_only_then_it_counts() -> None:
    lot = lot_with_result()
    report(lot, "0.9", parameter="perchlorate", unit="mg/kg")
    report(lot, "0.5", parameter="perchlorate", unit="mg/kg")
    make.enter("release_rule", "EU", two_persons=True)
    step = Released(lot=lot, reason="The first vial was mixed up")
    told, = waiting_for_second()
    assert (told.row.step, told.badge, told.counts, state_of(lot.pk)) == (step, "C", False, "")
    assert Hold.objects.filter(kind="hold", ended_by=None).exists()
    expect_refusal(releasing.confirm, "The second person is another one", badge="C", decision=step.pk)
    Confirmed(decision=step.pk)
    assert (waiting_for_second(), state_of(lot.pk), decisions_of([lot.pk])[0].second) == ([], "release", "D")
    assert not Hold.objects.filter(kind="hold", ended_by=None).exists()
    expect_refusal(releasing.confirm, "stands already", badge="D", decision=step.pk)
    assert verify_book() == []


def test_a_result_that_comes_between_stops_the_second_person() -> None:
    step = two_persons()
    report(LotDecision.objects.get().lot, "5")
    expect_refusal(releasing.confirm, "Decide again", badge="D", decision=step)
    expect_refusal(releasing.confirm, "no release 999", badge="D", decision=999)


def test_who_alone_recorded_the_results_does_not_release_where_the_house_says_so() -> None:
    lot = lot_with_result()
    make.enter("release_rule", "ALL", others_results=True)
    expect_refusal(releasing.release, "Badge A recorded every result", badge="A", **decision(lot))
    Released(lot=lot)
    assert verify_book() == []


def test_packs_go_out_only_released_where_the_house_promises_it() -> None:
    lot = lot_with_result()
    tins = make.Packed(lots=[lot])
    make.enter("release_rule", "EU", before_dispatch=True, consignees="B1")
    asked = {"consignee": "B1", "packs": [Packs(tins.code, 2, 1)], "happened_at": make.next_moment()}
    expect_refusal(dispatch.consign, "not released for EU", **asked)
    make.Sent(consignee="B2", packs=[Packs(tins.code, 2, 1)])
    Released(lot=lot)
    make.Sent(consignee="B1", packs=[Packs(tins.code, 2, 3)])
    assert is_released(tins.series, "EU")
    NotReleased(lot=tins)
    assert not is_released(tins.series, "EU")
    assert verify_book() == []


def test_a_decision_is_not_taken_back_and_falls_with_its_results() -> None:
    step = Released()
    lot = LotDecision.objects.get().lot
    expect_refusal(correcting.reverse, "Decide again", step=step.pk, why="Wrong lot")
    take_back(Step.objects.get(stage="testing"))
    assert (state_of(lot.pk), decisions_of([lot.pk])[0].stale) == ("", True)
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"markets": ()}, "For which market", "markets"), ({"ground": " "}, "Say on what ground", "ground"), ({"lot": "X9"}, "No lot", "lot"),
])
def test_what_cannot_be_understood_is_refused(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(releasing.release, match, **decision(lot_with_result()) | other).field == field


def test_the_power_goes_and_nothing_is_decided(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = decision(lot_with_result())
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            releasing.release(Act("C"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("C")
    first, again = releasing.release(act, **asked), releasing.release(act, **asked)
    assert (again.seq, again.repeated, LotDecision.objects.count()) == (first.seq, True, 1)
    assert verify_book() == []


def test_a_table_of_limits_is_one_act_and_names_every_faulty_row() -> None:
    from lots.record import limit_tables
    from lots.record.limit_tables import LimitLine

    good = {"market": "EU", "parameter": "acetamiprid", "value": "0.05", "unit": "mg/kg", "clause": "396/2005", "read_in": "database"}
    bad = {**good, "value": "1,5", "unit": "ppm"}
    rows = [LimitLine(2, "A", good), LimitLine(3, "B", bad), LimitLine(4, "A", good), LimitLine(5, "", {**good, "market": ""})]
    fault = expect_refusal(limit_tables.load, "Row 3: the value “1,5” is not a number above nothing", rows=rows)
    for said in ("Row 3: ppm is not known here", "Row 4: code A stands in row 2 too", "Row 5: no market", "Row 5: no code"):
        assert said in fault.sentence
    from lots.models import Limit

    limit_tables.load(Act("C"), rows=rows[:1])
    limit_tables.load(Act("C"), rows=[LimitLine(2, "A", {**good, "value": "0.01"})])
    assert list(Limit.objects.values_list("version", "value")) == [(1, "0.05"), (2, "0.01")]
    expect_refusal(limit_tables.load, "The table is empty", rows=[])
    assert Decimal("0.01") == Decimal(Limit.objects.get(version=2).value)
    assert verify_book() == []
