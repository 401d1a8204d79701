"""A treatment, and the first day on which the plot may be plucked."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import FieldTreatment
from lots.trade.units import date_text
from tests import factories
from tests.desk.conftest import broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/field/treatment/"


def spray(**other: str) -> dict[str, str]:
    return typed(**{"plot": "P1", "interval_days": "14", "applied_on": timezone.localdate().isoformat(), "product": "Mite stop", **other})


def test_a_treatment_says_when_the_plot_may_be_plucked(clerk: Client) -> None:
    told = written(clerk, URL, spray(substance="etoxazole", dose="200 l per 10 a"))
    row = FieldTreatment.objects.get()
    assert (row.product, row.interval_days, row.dose) == ("Mite stop", 14, "200 l per 10 a")
    assert f"may be plucked from {date_text(timezone.localdate() + dt.timedelta(days=14))}" in told
    assert "May not be plucked before" in page(clerk.get("/leaf-in/?plot=P1"))


def test_no_interval_is_typed_as_nothing(clerk: Client) -> None:
    refused(clerk, URL, spray(interval_days=""))
    written(clerk, URL, spray(interval_days="0", product="Rapeseed cake"))
    assert FieldTreatment.objects.get().interval_days == 0


def test_a_product_has_a_name(clerk: Client) -> None:
    assert "Write a few words." in refused(clerk, URL, spray(product=""))


def test_a_plot_that_nobody_knows(clerk: Client) -> None:
    assert "P9 is not in the register of plots" in refused(clerk, URL, spray(plot="P9"))


def test_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, spray())


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = spray()
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Treated()
    clerk.get(URL)
    with django_assert_max_num_queries(14):  # type: ignore[operator]
        clerk.get(URL)
