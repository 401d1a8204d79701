"""What a scanned or typed text names."""

from __future__ import annotations

import pytest

from lots.codes.lots import print_form
from lots.codes.packs import pack_code
from lots.codes.packs import print_form as print_pack
from lots.models import Lot, PackedUnit, PackSecret
from lots.read.finding import Kind, find
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_mill() -> None:
    factories.found_small_mill()


def code_of(unit: PackedUnit, number: int) -> str:
    return pack_code(unit.run_no, number, bytes(PackSecret.objects.get(pk=unit.run_no).secret))


def test_a_lot_by_its_code_in_any_spelling() -> None:
    lot = factories.FreshLeaf()
    for text in (lot.code, print_form(lot.code), f" {print_form(lot.code).lower()} ", lot.code.replace("0", "O")):
        found = find(text)
        assert (found.kind, found.lots) == (Kind.LOT, (lot,)), text
        assert found.sure


def test_the_makers_own_reference_names_all_lots_of_its_step() -> None:
    packs = factories.Packed(maker_ref="K26-99")
    found = find("k26-99")
    assert found.kind is Kind.REFERENCE
    assert {lot.step_id for lot in found.lots} == {packs.step_id}
    assert len(found.lots) == 3
    assert found.sure


def test_a_reference_that_two_steps_carry_asks_which_one() -> None:
    first, second = factories.FreshLeaf(maker_ref="H1"), factories.FreshLeaf(maker_ref="H1")
    found = find("H1")
    assert (found.kind, found.lots, found.sure) == (Kind.SEVERAL, (first, second), False)


def test_a_pack_leads_to_the_lot_of_its_series() -> None:
    factories.Packed()
    tins, bags = PackedUnit.objects.filter(retained=False).order_by("pk")
    for unit, number in ((tins, tins.first_no), (tins, tins.last_no), (bags, bags.first_no)):
        code = code_of(unit, number)
        for text in (code, print_pack(code), f"https://trace.example/p/{code}"):
            found = find(text)
            assert (found.kind, found.lots, found.pack_no) == (Kind.PACK, (unit.lot,), number)


def test_a_pack_that_no_run_gave_out_is_told_apart() -> None:
    factories.Packed()
    unit = PackedUnit.objects.first()
    assert unit is not None
    forged = pack_code(unit.run_no, unit.first_no, b"x" * 32)
    beyond = code_of(unit, 900_000)
    strange = pack_code(77, 1, b"y" * 32)
    assert [find(code).kind for code in (forged, beyond, strange)] == [Kind.FALSE_PACK] * 3


@pytest.mark.parametrize("text", ["", "   ", "R26-ZZZZZ9", "no such thing", "0" * 500])
def test_what_nobody_knows_names_nothing(text: str) -> None:
    assert Lot.objects.count() == 0
    found = find(text)
    assert (found.kind, found.lots, found.sure) == (Kind.UNKNOWN, (), False)
