"""Stock from before: its origin stays unknown in everything that is made of it."""

from __future__ import annotations

import pytest

from lots.models import Composition, OpeningStock, Origin
from lots.read.verifying import verify_book
from tests import factories as make
from tests.record.goods import Stocked

pytestmark = pytest.mark.usefixtures("mill")


def test_packs_of_it_are_of_unknown_origin() -> None:
    packed = make.Packed(lots=[Stocked()])
    held = Origin.objects.get(step=packed.step_id).held_by_id
    assert [(row.harvest_id, row.share_frac) for row in Composition.objects.filter(held_by=held)] == [(None, 1.0)]
    assert verify_book() == []


def test_its_share_stays_unknown_beside_leaf_that_is_known() -> None:
    known = make.Sieved()
    packed = make.Packed(lots=[known, Stocked(weighed=make.kg("1.500"))])
    held = Origin.objects.get(step=packed.step_id).held_by_id
    shares = {row.harvest_id: float(row.share_frac) for row in Composition.objects.filter(held_by=held)}
    assert 0.3 < shares[None] < 0.6
    assert sum(shares.values()) == pytest.approx(1)
    assert OpeningStock.objects.get().sold_count == 40
    assert verify_book() == []
