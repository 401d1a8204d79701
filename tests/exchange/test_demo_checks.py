"""The invented checks of the demo mill stop and question nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from lots.exchange.demo_checks import lay_checks
from lots.models import ClimateRow, Hold
from lots.read.detecting import pieces_now
from lots.read.scale_check import open_failures, scales_now
from lots.read.verifying import verify_book
from tests import factories as make

FILE = Path(__file__).parents[2] / "fixtures" / "demo_checks.json"


@pytest.mark.django_db
def test_the_checks_of_the_demo_are_laid_and_stop_nothing() -> None:
    make.found_small_mill()
    lay_checks(FILE)
    assert [(piece.code, piece.seen) for piece in pieces_now()] == [("FE10", True), ("SS20", True)]
    assert [one.code for one in scales_now() if one.check is not None] == ["S3"]
    assert (ClimateRow.objects.filter(outside=True).count(), Hold.objects.count(), open_failures()) == (1, 0, [])
    assert verify_book() == []
