"""Room climate: readings against the band of the maker, one by one or as the rows of a logger."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from lots.models import ClimateReading, ClimateRow, MillingRun
from lots.read.climate import outside_between, outside_of_run, rooms_now
from lots.read.verifying import verify_book
from lots.record import climate
from lots.record.acts import Act
from lots.record.climate import Reading
from tests import factories as make
from tests.checks import ClimateRead, enter_room
from tests.record.asking import expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")
WARM = Reading(Decimal("26.2"), Decimal("0.71"))


@pytest.mark.parametrize(("t_c", "humidity", "outside"), [
    ("15.0", "0.40", False), ("24.0", "0.65", False), ("24.1", "0.50", True), ("14.9", "0.50", True), ("20.0", "0.66", True),
])
def test_a_reading_is_held_against_the_band(t_c: str, humidity: str, outside: bool) -> None:
    step = ClimateRead(readings=[Reading(Decimal(t_c), Decimal(humidity))])
    row = ClimateRow.objects.get(step=step)
    assert (row.outside, row.read_at) == (outside, step.happened_at)
    assert ClimateReading.objects.get(step=step).outside_count == int(outside)
    assert verify_book() == []


def test_the_rows_of_a_logger_are_one_act() -> None:
    room, at = enter_room(), make.next_moment()
    hours = [Reading(Decimal(20 + n), Decimal("0.5"), at - dt.timedelta(hours=6 - n)) for n in range(6)]
    step = ClimateRead(room=room, readings=hours)
    row = ClimateReading.objects.get(step=step)
    assert (row.reading_count, row.outside_count) == (6, 1)
    assert rooms_now()[0].reading.temperature_c == Decimal("25.0")
    summed, = outside_between(at - dt.timedelta(hours=9), at)
    assert (summed.room, summed.count, summed.most_c) == ("Mill room", 1, 25.0)
    take_back(step)
    assert outside_between(at - dt.timedelta(hours=9), at) == []
    assert verify_book() == []


def test_a_run_knows_what_lay_outside_in_its_hours() -> None:
    room = enter_room()
    make.Load()
    ClimateRead(room=room, readings=[WARM])
    make.Tub()
    make.Closed()
    run = MillingRun.objects.get()
    summed, = outside_of_run(run.pk)
    assert (summed.count, summed.most_c, summed.most_rh_frac) == (1, 26.2, 0.71)
    ClimateRead(room=enter_room("STORE", name="Cold store", has_stones=False), readings=[WARM])
    make.mill(job="J2")
    assert outside_of_run(MillingRun.objects.last().pk) == []
    assert verify_book() == []


@pytest.mark.parametrize(("readings", "match", "field"), [
    ([], "No reading", "temperature_c"), ([Reading(Decimal(80), Decimal("0.5"))], "no temperature of a room", "temperature_c"),
    ([Reading(Decimal(20), Decimal(58))], "no humidity", "humidity"),
    ([Reading(Decimal(20), Decimal("0.5"), make.BEGAN + dt.timedelta(days=90))], "not come yet", "logger"),
])
def test_what_is_no_air_of_a_room_is_refused(readings: list[Reading], match: str, field: str) -> None:
    assert expect_refusal(climate.read, match, room=enter_room(), readings=readings).field == field


def test_a_room_that_nobody_knows_is_refused() -> None:
    assert expect_refusal(climate.read, "register of rooms", room="X", readings=[WARM]).field == "room"


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = {"room": enter_room(), "readings": [WARM, WARM], "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            climate.read(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = climate.read(act, **asked), climate.read(act, **asked)
    assert (again.seq, again.repeated, ClimateRow.objects.count()) == (first.seq, True, 2)
    assert verify_book() == []
