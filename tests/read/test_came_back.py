"""Packs of one consignment that left in two ranges: what comes back is counted once, to the range that its numbers lie in."""

from __future__ import annotations

import pytest

from lots.models import Lot, PackedUnit
from lots.read.outgoing import sent_of, series_of
from lots.read.verifying import verify_book
from lots.record import dispatch, returning
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.trade.lineage import Tier
from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def tins(db: None) -> Lot:
    """Twenty tins, of which 1 to 4 and 9 to 11 went with one document."""
    make.found_small_mill()
    lot: Lot = make.Packed()
    dispatch.consign(Act("B"), consignee="B1", packs=[Packs(lot.code, 4, 1), Packs(lot.code, 3, 9)], happened_at=make.next_moment())
    return lot


def back(*packs: Packs) -> None:
    returning.take_back(Act("A"), packs=list(packs), why="Ordered twice", state="unopened", happened_at=make.next_moment())


def told(lot: Lot) -> list[tuple[int | None, int, int]]:
    """First number, packs sent, packs back; and whoever holds them holds what left the house and did not come back."""
    unit = PackedUnit.objects.get(lot=lot)
    sent = sent_of([unit.pk])
    series = series_of({unit.step_id: Tier.CONTAINS}, {}, [lot.pk])
    assert sum(one.pack_count - one.returned_count for one in sent) == sum(one.dispatched_count for one in series)
    assert verify_book() == []
    return [(one.first_no, one.pack_count, one.returned_count) for one in sent]


def test_two_of_the_second_range_come_back(tins: Lot) -> None:
    back(Packs(tins.code, 2, 10))
    assert told(tins) == [(1, 4, 0), (9, 3, 2)]


def test_a_whole_range_that_came_back_is_left_out_and_the_other_stays(tins: Lot) -> None:
    back(Packs(tins.code, 2, 9), Packs(tins.code, 1, 11))
    back(Packs(tins.code, 1, 4))
    assert told(tins) == [(1, 4, 1)]
