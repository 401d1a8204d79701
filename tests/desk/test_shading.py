"""A cover over a plot, and the list of plots."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import Shading
from tests import factories
from tests.desk.conftest import broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/field/shading/"


def ago(days: int) -> str:
    return (timezone.localdate() - dt.timedelta(days=days)).isoformat()


def test_a_cover_is_laid(clerk: Client) -> None:
    told = written(clerk, URL, typed(plot="P1", covered_on=ago(3), flush_no="1", rate_frac="92", kind="trellis", material="black cloth", leaf_stage="1.5"))
    row = Shading.objects.get()
    assert (row.plot.code, row.flush_no, str(row.rate_frac), row.cover, row.layer_count) == ("P1", 1, "0.92000", "trellis", 1)
    assert (row.material, row.leaf_stage) == ("black cloth", "1.5")
    assert "Plot P1 is under cover since" in told


def test_a_cover_came_off(clerk: Client) -> None:
    assert "for 23 days from" in written(clerk, URL, typed(plot="P1", covered_on=ago(25), uncovered_on=ago(2), flush_no="1"))


def test_off_before_on(clerk: Client) -> None:
    assert "before it went on" in refused(clerk, URL, typed(plot="P1", covered_on=ago(2), uncovered_on=ago(5), flush_no="1"))


def test_the_flush_is_chosen(clerk: Client) -> None:
    assert "Choose one." in refused(clerk, URL, typed(plot="P1", covered_on=ago(2)))


def test_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, typed(plot="P1", covered_on=ago(3), flush_no="1"))


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = typed(plot="P1", covered_on=ago(3), flush_no="1")
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_the_plots_today(clerk: Client, django_assert_max_num_queries: object) -> None:
    now = timezone.now()
    factories.Covered(covered_on=timezone.localdate() - dt.timedelta(days=12), happened_at=now)
    factories.Treated(plot="P2", applied_on=timezone.localdate(), happened_at=now)
    with django_assert_max_num_queries(12):  # type: ignore[operator]
        said = page(clerk.get("/field/"))
    assert "12 days covered" in said
    assert "May be plucked from" in said
    assert "No treatment keeps it from being plucked." in said


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Covered()
    clerk.get(URL)
    with django_assert_max_num_queries(24):  # type: ignore[operator]
        clerk.get(f"{URL}?plot=P1")
