"""Check-weighing: judged by a named plan, kept pack by pack; what is not accepted is stopped in the same act."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from lots.models import CheckedPack, CheckWeighing, Hold, JournalEntry, Lot
from lots.read.check_weighings import check_weighings, too_coarse
from lots.read.verifying import verify_book
from lots.record import checkweighing
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.record.packing import Series
from tests import factories as make
from tests.finishing import FULL, CheckWeighed
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def fine_scale() -> None:
    make.enter("scale", "S4", name="fine", division_mg=10, interval_mg=100, u_repeat_mg=Decimal(10), accuracy_class="II",
               capacity_mg=3_000_000, decimals_count=5)


def test_full_tins_are_accepted_and_kept_one_by_one() -> None:
    step = CheckWeighed()
    row = CheckWeighing.objects.get(step=step)
    assert (row.plan, row.weighed_count, row.accepted, row.t1_count) == ("finite_lot_1999", 12, True, 0)
    assert tuple(CheckedPack.objects.filter(step=step).order_by("pk").values_list("content_mg", flat=True)) == FULL
    check, = check_weighings([row.unit])
    assert (check.result.accepted, round(check.lost_mg)) == (True, round(20 * (sum(FULL) / 12 - 30_000)))
    assert not Hold.objects.exists()
    assert verify_book() == []


def test_gross_weights_less_the_tare_are_the_contents() -> None:
    step = CheckWeighed(readings_mg=[mg + 48_000 for mg in FULL], tare_mg=48_000)
    assert CheckWeighing.objects.get(step=step).tare_mg == 48_000
    assert tuple(CheckedPack.objects.filter(step=step).order_by("pk").values_list("content_mg", flat=True)) == FULL


def test_what_is_not_accepted_is_stopped_in_the_same_act() -> None:
    tins = make.Packed()
    step = CheckWeighed(lot=tins, readings_mg=[24_500, *FULL[1:]])
    hold = Hold.objects.get()
    assert (hold.lot, hold.entry_id, hold.kind) == (tins, step.entry_id, "hold")
    assert "not accepted. Packs below 24.6" in hold.reason
    body = json.loads(bytes(JournalEntry.objects.get(pk=step.entry_id).body))
    assert len(body["act"]["rows"]["checked_pack"]) == 12
    assert [lot["lot"] for lot in body["lots"]] == [tins.code]
    from lots.record import dispatch

    expect_refusal(dispatch.consign, "a hold stands on lot", consignee="B1", packs=[Packs(tins.code, 2)])
    assert verify_book() == []


def test_a_sample_that_is_not_whole_judges_nothing_and_stops_nothing() -> None:
    assert CheckWeighing.objects.get(step=CheckWeighed(readings_mg=FULL[:5])).accepted is None
    assert not Hold.objects.exists()
    assert verify_book() == []


def test_a_named_plan_judges_by_its_own_rule() -> None:
    packed = make.Packed(series=[Series("T30", 120, make.kg("1.164"))], bulk=make.kg("0.585"), reason="A test of a long series")
    row = CheckWeighing.objects.get(step=CheckWeighed(lot=packed, readings_mg=FULL * 4 + FULL[:2]))
    assert (row.plan, row.accepted) == ("oiml_r87_2004", True)
    other = CheckWeighing.objects.get(step=CheckWeighed(lot=packed, readings_mg=FULL * 2 + FULL[:6], plan="double_1976"))
    assert (other.plan, other.accepted) == ("double_1976", True)


def test_a_check_that_was_taken_back_is_not_told() -> None:
    step = CheckWeighed()
    unit = CheckWeighing.objects.get(step=step).unit
    take_back(step)
    assert check_weighings([unit]) == []
    assert verify_book() == []


def test_a_weight_that_is_no_filling_is_asked_about() -> None:
    asked = {"lot": make.Packed().code, "readings_mg": [78_200, *FULL[1:]], "happened_at": make.next_moment()}
    expect_question(checkweighing.weigh, "was the tare taken off", **asked)
    assert verify_book() == []


def test_a_scale_must_be_fine_enough_for_small_packs() -> None:
    from lots.models import Scale

    fine_scale()
    coarse, fine = (Scale.objects.get(code=code) for code in ("S2", "S4"))
    assert (too_coarse(coarse, 30_000), too_coarse(fine, 30_000), too_coarse(None, 30_000)) == (True, False, False)


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"readings_mg": []}, "No weight was typed", "readings_mg"),
    ({"readings_mg": FULL * 2}, "24 weights were typed, and the series holds 20 packs", "readings_mg"),
    ({"tare_mg": -1}, "cannot weigh less than nothing", "tare_mg"),
    ({"tare_mg": 40_000}, "Look at the tare", "readings_mg"),
    ({"plan": "by feel"}, "no plan called by feel", "plan"),
    ({"scale": "S9"}, "register of scales", "scale"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    asked = {"lot": make.Packed().code, "readings_mg": FULL} | other
    assert expect_refusal(checkweighing.weigh, match, **asked).field == field


def test_a_lot_that_is_no_packs_is_refused() -> None:
    assert expect_refusal(checkweighing.weigh, "is not a lot of packs", lot=make.Sieved().code, readings_mg=FULL).field == "lot"


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    tins: Lot = make.Packed()
    asked = {"lot": tins.code, "readings_mg": [24_500, *FULL[1:]], "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            checkweighing.weigh(Act("B"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("B")
    first, again = checkweighing.weigh(act, **asked), checkweighing.weigh(act, **asked)
    assert (again.seq, again.repeated, Hold.objects.count()) == (first.seq, True, 1)
    assert verify_book() == []
