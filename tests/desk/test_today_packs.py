"""What the first page says of packs."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.utils import timezone

from lots.record.keeping import Seen
from tests import factories
from tests.desk.conftest import page
from tests.finishing import LabelsCounted, Rounded, due_samples, enter_label, kept_lot

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]


def test_a_run_whose_labels_nobody_counted(clerk: Client) -> None:
    tins = factories.Packed(happened_at=timezone.now() - dt.timedelta(days=2))
    assert "Its labels are not counted yet." not in page(clerk.get("/"))
    enter_label()
    assert "Its labels are not counted yet." in page(clerk.get("/"))
    bags = factories.lots_of(tins.step, "packed_tea")[1]
    enter_label("L100", product="B100", net_mg=100_000)
    LabelsCounted(lot=tins, label="L30")
    LabelsCounted(lot=bags, label="L100", labels=labelled(5))
    assert "Its labels are not counted yet." not in page(clerk.get("/"))


def labelled(count: int) -> object:
    from lots.record.labelling import Labels

    return Labels(count, count, 0, 0)


def test_samples_that_are_missing_or_due(clerk: Client) -> None:
    kept, due = kept_lot(), due_samples()
    Rounded(seen=[Seen(kept.code, 1), Seen(due.code)])
    said = page(clerk.get("/"))
    assert "The last round missed 1 sample." in said
    assert "Due for disposal: Q" in said


def test_nothing_is_said_where_nothing_is_packed(clerk: Client) -> None:
    assert "Kept samples." not in page(clerk.get("/"))
