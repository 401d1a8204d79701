"""Check weights: judged by the permissible error of OIML R 76; beyond it the weighings since the last good check are questioned."""

from __future__ import annotations

import pytest

from lots.models import ScaleCheck, ScaleClear
from lots.read.scale_check import check_of, doubted, open_failures, questioned_by, scales_due, span_of
from lots.read.verifying import verify_book
from lots.record import scale_check
from lots.record.acts import Act
from tests import factories as make
from tests.checks import Cleared, ScaleChecked, enter_weight, failed_check
from tests.record.asking import book_mg, expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


# OIML R 76-1 table 6, class II: up to 5 000 e the error may be 0.5 e, up to 20 000 e it may be 1 e. S3 has e = 1 g: 5 kg are 5 000 e.
@pytest.mark.parametrize(("nominal_mg", "shown_mg", "allowed_mg", "within"), [
    (5_000_000, 5_000_500, 500, True), (5_000_000, 5_000_501, 500, False), (5_000_000, 4_999_499, 500, False),
    (10_000_000, 10_001_000, 1_000, True), (10_000_000, 9_998_999, 1_000, False),
])
def test_a_scale_is_judged_by_its_permissible_error_at_that_load(nominal_mg: int, shown_mg: int, allowed_mg: int, within: bool) -> None:
    step = ScaleChecked(weight=enter_weight(nominal_mg=nominal_mg), shown_mg=shown_mg)
    row = ScaleCheck.objects.get(step=step)
    assert (row.allowed_mg, row.within, row.shown_mg) == (allowed_mg, within, shown_mg)
    assert verify_book() == []


def test_a_failed_check_questions_the_weighings_since_the_last_good_one() -> None:
    early = make.mill().tubs[0]
    weight = enter_weight()
    good = ScaleChecked(weight=weight)
    tub = make.mill(job="J2", tub_count=1).tubs[0]
    check = check_of(ScaleChecked(weight=weight, shown_mg=5_050_000).pk)
    assert check is not None
    assert span_of(check).good_at == good.happened_at
    lines = {line.lot.code: line for line in doubted(check) if line.kind == "out"}
    assert set(lines) >= {tub.code}
    assert early.code not in lines
    line = lines[tub.code]
    # The scale shows 1 % too much: 886 g are 886 / 1.01 = 877.228 g.
    assert (line.mass_mg, line.change_mg, line.would_be_mg, line.in_balance_mg) == (886_000, -8_772, 877_228, 8_772)
    # 880 g of charge fall to 871.287 g: what is not found changes by −8.713 + 8.772 g.
    charge, = [one for one in doubted(check) if one.kind == "in" and one.run == line.run]
    assert (charge.in_balance_mg, line.balance_mg) == (-8_713, 59)
    assert [one.pk for one in questioned_by(tub)] == [check.pk]
    assert questioned_by(early) == []
    assert verify_book() == []


def test_the_next_good_check_ends_the_doubt_for_what_comes_after() -> None:
    failed = ScaleChecked(shown_mg=5_050_000)
    ScaleChecked(weight="W5")
    after = make.mill(tub_count=1).tubs[0]
    check = check_of(failed.pk)
    assert check is not None
    assert (questioned_by(after), doubted(check)) == ([], [])
    assert verify_book() == []


def test_a_reason_clears_the_weighings() -> None:
    tub = make.mill(tub_count=1).tubs[0]
    failed = failed_check()
    assert questioned_by(tub) != []
    step = Cleared(check=failed)
    assert ScaleClear.objects.get(step=step).ground == "The tubs were weighed again on S2"
    assert (open_failures(), questioned_by(tub)) == ([], [])
    expect_refusal(scale_check.clear, "cleared before", check=failed, ground="again")
    take_back(step)
    assert [one.pk for one in questioned_by(tub)] == [failed]
    assert verify_book() == []


def test_what_is_odd_is_asked_about() -> None:
    weight = enter_weight("OLD", valid_until_on=make.today().replace(year=2020))
    asked = {"scale": "S3", "weight": weight, "shown_mg": 5_000_000, "happened_at": make.next_moment()}
    expect_question(scale_check.check, "was valid until 2020", **asked)
    expect_question(scale_check.check, "0.500 kg was typed", **asked | {"shown_mg": 500_000})
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"scale": "S9"}, "register of scales", "scale"), ({"weight": "W9"}, "register of check weights", "weight"),
    ({"weight": "W20"}, "more than scale S3 can weigh", "weight"),
])
def test_what_cannot_be_understood_is_refused(other: dict[str, object], match: str, field: str) -> None:
    enter_weight()
    enter_weight("W20", nominal_mg=20_000_000)
    assert expect_refusal(scale_check.check, match, **{"scale": "S3", "weight": "W5", "shown_mg": 5_000_000} | other).field == field


def test_only_a_failed_check_is_cleared_and_with_a_reason() -> None:
    good, failed = ScaleChecked().pk, ScaleChecked(weight="W5", shown_mg=5_050_000).pk
    expect_refusal(scale_check.clear, "no failed check", check=good, ground="so")
    assert expect_refusal(scale_check.clear, "Say why", check=failed, ground=" ").field == "ground"


def test_a_scale_that_was_read_today_and_not_checked_is_due() -> None:
    enter_weight()
    lot = make.CrudeLeaf()
    assert {one.code for one in scales_due(lot.step.happened_at)} == {"S1", "S2"}
    ScaleChecked(scale="S2", weight="W5")
    assert {one.code for one in scales_due(lot.step.happened_at)} == {"S1"}
    assert book_mg(lot) > 0


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = {"scale": "S3", "weight": enter_weight(), "shown_mg": 5_050_000, "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            scale_check.check(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = scale_check.check(act, **asked), scale_check.check(act, **asked)
    assert (again.seq, again.repeated, len(open_failures())) == (first.seq, True, 1)
    assert verify_book() == []
