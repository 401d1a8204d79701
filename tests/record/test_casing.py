"""Cases: packs of one series under one code, by scan or by count; what does not belong in one is refused and named."""

from __future__ import annotations

import pytest

from lots.codes.sale import parse_case_code
from lots.models import CaseOpening, CasePart, Lot, PackedUnit, SalesCase
from lots.read.cases import bottom, case_of_pack, cases_here, packs_held
from lots.read.loose import loose
from lots.read.verifying import verify_book
from lots.record import casing, dispatch, returning
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.record.errors import Refused
from tests import factories as make
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes
from tests.record.selling import carton, codes, enter_units, refused

pytestmark = pytest.mark.usefixtures("mill")


class Closed(make.Recorded):
    """A carton of the first four tins of a lot."""

    _record = staticmethod(casing.close)
    sales_unit = "CT4"
    counted = make.factory.LazyFunction(lambda: Packs((enter_units(), make.Packed())[1].code, 4, 1))


class Opened(make.Recorded):
    _record = staticmethod(casing.open_again)
    case = make.factory.LazyFunction(lambda: SalesCase.objects.get(step=Closed()).code)
    why = "A tin was dented"


@pytest.fixture
def tins() -> Lot:
    """A series of twenty tins, with the units in which they are sold."""
    enter_units()
    return make.Packed()


def closing(*scanned: str, **other: object) -> dict[str, object]:
    return {"sales_unit": "CT4", "scanned": list(scanned), "happened_at": make.next_moment()} | other


def test_units_nest_down_to_the_product(tins: Lot) -> None:
    case = carton(tins, 1)
    outer = casing.close(Act("B"), **closing(case.code, carton(tins, 5).code, sales_unit="CASE8"))
    row = SalesCase.objects.select_related("sales_unit__holds__product").get(step=outer.step)
    assert (packs_held(row.sales_unit), bottom(row.sales_unit), row.pack_count) == (8, "T30", 8)
    assert [case.code for case in case_of_pack(PackedUnit.objects.get(lot=tins), 6)][-1] == row.code
    assert verify_book() == []


def test_a_case_is_closed_by_its_packs_and_has_a_code_with_a_check_sign(tins: Lot) -> None:
    case = carton(tins, 3)
    part = CasePart.objects.get(step=case.step)
    assert parse_case_code(case.code) == case.code
    assert (part.first_no, part.last_no, case.pack_count) == (3, 6, 4)
    here = loose(case.unit)
    assert (here.state.here_count, here.cased_count, here.free_count) == (20, 4, 16)
    assert here.free_ranges() == [(1, 2), (7, 20)]
    assert verify_book() == []


def test_a_pack_of_another_lot_is_named(tins: Lot) -> None:
    other = make.Packed(lots=[make.Sieved()], maker_ref="K26-02")
    scanned = [*codes(tins, 1, 2, 3), *codes(other, 9)]
    assert "Pack 9 is of lot K26-02; this case holds" in expect_refusal(casing.close, "of lot", **closing(*scanned)).sentence


def test_every_pack_that_does_not_belong_is_named_at_once(tins: Lot) -> None:
    carton(tins, 1)
    dispatch.consign(Act("B"), consignee="B1", packs=[Packs(tins.code, 1, 9)], happened_at=make.next_moment())
    told = expect_refusal(casing.close, "lies in case", **closing(*codes(tins, 4, 9, 10, 10), "T0000000000000000000"))
    for words in ("Pack 4 of", "Pack 9 of", "has gone out", "was scanned twice", "does not prove itself"):
        assert words in told.sentence


def test_a_code_that_was_made_up_is_no_pack(tins: Lot) -> None:
    made_up = codes(tins, 1)[0][:-2] + "00"
    expect_refusal(casing.close, "does not prove itself", **closing(*codes(tins, 2, 3, 4), made_up))


def test_held_void_kept_and_returned_packs_stay_out(tins: Lot) -> None:
    dispatch.consign(Act("B"), consignee="B1", packs=[Packs(tins.code, 1, 1)], happened_at=make.next_moment())
    returning.take_back(Act("A"), packs=[Packs(tins.code, 1, 1)], why="Dented", state="damaged", happened_at=make.next_moment())
    expect_refusal(casing.close, "waits for the word of quality", **closing(*codes(tins, 1, 2, 3, 4)))
    kept = make.lots_of(tins.step, "retained_tea")[0]
    first = PackedUnit.objects.get(lot=kept).first_no
    expect_refusal(casing.close, "is a kept sample", **closing(*codes(kept, first)))
    make.Held(lot=tins)
    expect_refusal(casing.close, "is stopped: A smell of smoke", **closing(*codes(tins, 2, 3, 4, 5)))
    other = make.Packed(lots=[make.Sieved()])
    take_back(other.step_id)
    expect_refusal(casing.close, "is void", **closing(*codes(other, 2, 3, 4, 5)))


def test_another_product_does_not_go_in(tins: Lot) -> None:
    bags = make.lots_of(tins.step, "packed_tea")[1]
    unit = PackedUnit.objects.get(lot=bags)
    expect_refusal(casing.close, "is B100; Carton of 4 tins holds T30", **closing(*codes(bags, unit.first_no)))


def test_a_short_case_is_asked_about_once(tins: Lot) -> None:
    expect_question(casing.close, "holds 4 packs and 3 are in", **closing(*codes(tins, 1, 2, 3)))
    assert verify_book() == []


def test_by_count_no_number_is_claimed_and_no_more_than_are_free(tins: Lot) -> None:
    casing.close(Act("B"), **closing(counted=Packs(tins.code, 4)))
    assert CasePart.objects.get().first_no is None
    for first in (1, 5, 9):
        carton(tins, first)
    asked = closing(counted=Packs(tins.code, 5))
    assert "5 packs of" in expect_refusal(casing.close, "4 are here outside of cases", **asked).sentence
    assert verify_book() == []


@pytest.mark.parametrize(("asked", "match"), [
    ({"counted": None}, "Nothing was scanned"),
    ({"sales_unit": "CT9"}, "register of sales units"),
    ({"sales_unit": "CASE8"}, "Case of 2 cartons holds Carton of 4 tins"),
])
def test_what_cannot_be_understood_is_refused(tins: Lot, asked: dict[str, object], match: str) -> None:
    expect_refusal(casing.close, match, **closing(counted=Packs(tins.code, 4)) | asked)


def test_smaller_cases_are_checked_as_packs_are(tins: Lot) -> None:
    first, second = carton(tins, 1), carton(tins, 5)
    expect_refusal(casing.close, "no case of ours", **closing("N260000000", sales_unit="CASE8"))
    expect_refusal(casing.close, "was scanned twice", **closing(first.code, first.code, sales_unit="CASE8"))
    casing.close(Act("B"), **closing(first.code, second.code, sales_unit="CASE8"))
    expect_refusal(casing.close, "lies in case .* already", **closing(first.code, sales_unit="CASE8"))
    refused(casing.open_again, "Open that one first", case=first.code, why="x", happened_at=make.next_moment())


def test_an_opened_case_gives_its_packs_free(tins: Lot) -> None:
    case = carton(tins, 1)
    refused(casing.open_again, "Say why", case=case.code, why=" ", happened_at=make.next_moment())
    step = casing.open_again(Act("B"), case=case.code, why="A tin was dented", happened_at=make.next_moment()).step
    assert CaseOpening.objects.get(step=step).why == "A tin was dented"
    refused(casing.open_again, "was opened again", case=case.code, why="Again", happened_at=make.next_moment())
    assert loose(case.unit).free_count == 20
    take_back(step)
    assert cases_here().get() == case
    take_back(case.step_id)
    assert carton(tins, 1).code != case.code
    assert verify_book() == []


def test_a_power_cut_leaves_no_half_case(tins: Lot, monkeypatch: pytest.MonkeyPatch) -> None:
    writes = Writes(monkeypatch)
    asked, before = closing(*codes(tins, 1, 2, 3, 4)), standing()
    act = Act("B")
    writes.break_off(3)
    with pytest.raises(LightsOut):
        casing.close(act, **asked)
    assert standing() == before
    writes.last = -1
    first = casing.close(act, **asked)
    assert casing.close(act, **asked).repeated
    assert SalesCase.objects.get().step_id == first.step
    with pytest.raises(Refused, match="sent before with other content"):
        casing.close(act, **(asked | {"sales_unit": "CASE8"}))
    assert verify_book() == []
