"""Words that the tests of sales share: sales units of the small mill, codes of its packs, cases and orders."""

from __future__ import annotations

import pytest

from lots.codes.packs import pack_code
from lots.models import Lot, PackedUnit, PackSecret, SalesCase, SalesOrder
from lots.record import casing, ordering
from lots.record.acts import Act
from lots.record.errors import Refused
from tests import factories as make
from tests.record.asking import Recorder, standing


def enter_units() -> None:
    """A carton of four tins, a case of two such cartons."""
    make.enter("sales_unit", "CT4", name="Carton of 4 tins", product="T30", held_count=4)
    make.enter("sales_unit", "CASE8", name="Case of 2 cartons", holds="CT4", held_count=2)


def codes(lot: Lot, *numbers: int) -> list[str]:
    """The codes of some packs of a series."""
    unit = PackedUnit.objects.get(lot=lot)
    secret = bytes(PackSecret.objects.get(run_no=unit.run_no).secret)
    return [pack_code(unit.run_no, number, secret) for number in numbers]


def carton(lot: Lot, first_no: int, sales_unit: str = "CT4") -> SalesCase:
    """A carton of four packs in a row."""
    scanned = codes(lot, *range(first_no, first_no + 4))
    receipt = casing.close(Act("B"), sales_unit=sales_unit, scanned=scanned, happened_at=make.next_moment())
    return SalesCase.objects.get(step=receipt.step)


def ordered(lines: dict[str, int], ship_to: str = "B1", **other: object) -> SalesOrder:
    """An order of a buyer."""
    receipt = ordering.take(Act("A"), ship_to=ship_to, lines=lines, **({"happened_at": make.next_moment()} | other))
    return SalesOrder.objects.get(step=receipt.step)


def refused(recorder: Recorder, match: str, *, badge: str = "A", **asked: object) -> Refused:
    """The recorder refuses, and nothing is written; here ``why`` is a field of the act itself."""
    before = standing()
    with pytest.raises(Refused, match=match) as caught:
        recorder(Act(badge), **asked)
    assert standing() == before
    return caught.value
