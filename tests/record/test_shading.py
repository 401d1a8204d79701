"""A cover is laid over a plot; how long it lay stands on the page of the packs that hold its leaf."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal

import pytest

from lots.models import PackedUnit, PackFace, Shading
from lots.read.verifying import verify_book
from lots.record import shading
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")


def shaded_days() -> int | None:
    unit = PackedUnit.objects.filter(retained=False).earliest("pk")
    return json.loads(PackFace.objects.get(unit=unit).facts)["origins"][0]["shaded_days"]


def test_a_cover_is_a_step_without_mass() -> None:
    day = make.today()
    receipt = shading.cover(
        Act("A"), plot="P1", flush_no=1, covered_on=day - dt.timedelta(days=22), uncovered_on=day, layer_count=2,
        rate_frac=Decimal("0.85"), kind="direct", happened_at=make.next_moment(),
    )
    row = Shading.objects.get(step=receipt.step)
    assert (row.plot.code, row.layer_count, row.rate_frac, row.cover) == ("P1", 2, Decimal("0.85"), "direct")
    assert receipt.lots == ()
    assert verify_book() == []


def test_the_page_of_a_pack_tells_the_days_under_cover() -> None:
    make.Covered(covered_on=make.today() - dt.timedelta(days=23))
    make.chain()
    assert shaded_days() == 23
    assert verify_book() == []


def test_a_cover_written_after_the_packs_are_filled_shows_on_their_page() -> None:
    plucked = make.today()
    make.chain()
    assert shaded_days() is None
    make.Covered(covered_on=plucked - dt.timedelta(days=20))
    assert shaded_days() == 20
    assert verify_book() == []


def test_a_cover_that_was_taken_back_shows_no_more() -> None:
    plucked = make.today()
    cover = make.Covered(covered_on=plucked - dt.timedelta(days=20))
    make.chain()
    take_back(cover)
    assert shaded_days() is None
    assert verify_book() == []


def test_only_days_before_plucking_count() -> None:
    plucked = make.today()
    make.Covered(covered_on=plucked - dt.timedelta(days=10), uncovered_on=plucked + dt.timedelta(days=4))
    make.chain()
    assert shaded_days() == 10
    assert verify_book() == []


@pytest.mark.parametrize(("days", "match", "field"), [
    ((0, -1), "before it went on", "uncovered_on"),
    ((1, None), "has not come yet", "covered_on"),
])
def test_days_that_cannot_be_are_refused(days: tuple[int, int | None], match: str, field: str) -> None:
    on, off = days
    asked = {"covered_on": make.today() + dt.timedelta(days=on), "uncovered_on": None if off is None else make.today() + dt.timedelta(days=off)}
    assert expect_refusal(shading.cover, match, plot="P1", flush_no=1, happened_at=make.next_moment(), **asked).field == field


def test_a_plot_that_nobody_entered_is_refused() -> None:
    assert expect_refusal(shading.cover, "register of plots", plot="P9", flush_no=1, covered_on=make.today()).field == "plot"
