"""Returns: packs come back from a consignment, wait for quality, and go into stock again or are destroyed before a witness."""

from __future__ import annotations

import pytest

from lots.models import Lot, PackedUnit, PackMove, PackReturn, ReturnFate, Step
from lots.read.finding import find
from lots.read.loose import loose
from lots.read.recall_starts import at_lots
from lots.read.recalling import recall
from lots.read.returns import waiting
from lots.read.series import series_state
from lots.read.tracing import trace_lots
from lots.read.verifying import verify_book
from lots.record import correcting, dispatch, returning
from lots.record.acts import Act
from lots.record.deriving import rebuild
from lots.record.dispatch import Packs
from tests import factories as make
from tests.record.asking import book_mg, derived, expect_refusal, standing
from tests.record.breaking import LightsOut, Writes
from tests.record.selling import refused

pytestmark = pytest.mark.usefixtures("mill")


def tins_sent(*packs: tuple[int, int | None], consignee: str = "B1") -> Lot:
    """Twenty tins, of which some were sent."""
    lot = make.Packed()
    for count, first in packs:
        send(lot, count, first, consignee)
    return lot


def send(lot: Lot, count: int, first: int | None, consignee: str = "B1") -> int | None:
    packs = [Packs(lot.code, count, first)]
    return dispatch.consign(Act("B"), consignee=consignee, packs=packs, happened_at=make.next_moment()).step


class TakenBack(make.Recorded):
    """Two of six tins come back."""

    _record = staticmethod(returning.take_back)
    packs = make.factory.LazyFunction(lambda: [Packs(tins_sent((6, 1)).code, 2, 1)])
    why = "Ordered twice"
    state = "unopened"


class Settled(make.Recorded):
    _record = staticmethod(returning.settle)
    returned = make.factory.LazyFunction(lambda: TakenBack().pk)
    fate = "in stock"
    why = "Seals whole, kept cool"


def came(lot: Lot, count: int, first: int | None, **other: object) -> dict[str, object]:
    asked = {"packs": [Packs(lot.code, count, first)], "why": "Ordered twice", "state": "unopened", "happened_at": make.next_moment()}
    return asked | other


def unit(lot: Lot) -> PackedUnit:
    return PackedUnit.objects.get(lot=lot)


def test_packs_that_come_back_wait_and_their_mass_is_back() -> None:
    lot = tins_sent((6, 1))
    before = book_mg(lot)
    step = returning.take_back(Act("A"), **came(lot, 2, 3, sender="The tea master")).step
    assert PackReturn.objects.get(step=step).consignment.part == "consignment"
    assert book_mg(lot) == before + 60_400
    here = loose(unit(lot))
    assert (here.state.here_count, here.waiting_count, here.free_count) == (16, 2, 14)
    expect_refusal(dispatch.consign, "waits for the word of quality", consignee="B1", packs=[Packs(lot.code, 1, 4)],
                   happened_at=make.next_moment())
    assert [one.pack_count for one in waiting()] == [2]
    assert verify_book() == []


def test_quality_lets_them_into_stock_and_they_may_go_again() -> None:
    lot = tins_sent((20, 1))
    step = returning.take_back(Act("A"), **came(lot, 2, 3)).step
    returning.settle(Act("C"), returned=step, fate="in stock", why="Seals whole", happened_at=make.next_moment())
    refused(returning.settle, "was said before", returned=step, fate="in stock", why="Again", happened_at=make.next_moment())
    assert send(lot, 2, 3)
    assert (book_mg(lot), series_state(unit(lot)).here_count, waiting()) == (0, 0, [])
    assert verify_book() == []


def test_they_are_destroyed_before_a_witness() -> None:
    lot = tins_sent((6, 1))
    before = book_mg(lot)
    asked = came(lot, 2, 1, destroyed=True, state="damaged")
    refused(returning.take_back, "Who saw it", **asked)
    refused(returning.take_back, "Who saw it", **asked, witness="A")
    returning.take_back(Act("A"), **asked, witness="C", evidence="Picture 12")
    row = ReturnFate.objects.get()
    assert (row.fate, row.witness.code, row.evidence) == ("destroyed", "C", "Picture 12")
    assert (book_mg(lot), series_state(unit(lot)).here_count) == (before, 14)
    assert list(PackMove.objects.order_by("pk").values_list("fate", flat=True)) == ["dispatched", "returned", "destroyed"]
    stands = derived()
    rebuild()
    assert derived() == stands
    assert trace_lots([lot]).consignments
    assert verify_book() == []


def test_a_later_fate_is_an_act_of_its_own() -> None:
    lot = tins_sent((6, 1))
    step = returning.take_back(Act("A"), **came(lot, 3, 1)).step
    refused(returning.settle, "on what ground", returned=step, fate="in stock", why=" ", happened_at=make.next_moment())
    refused(returning.settle, "no return number 9999", returned=9999, fate="in stock", why="x", happened_at=make.next_moment())
    returning.settle(Act("C"), returned=step, fate="destroyed", why="Smells", witness="B", happened_at=make.next_moment())
    assert series_state(unit(lot)).fate_of(2) == "destroyed"
    assert verify_book() == []


def test_the_arithmetic_of_a_recall_follows() -> None:
    lot = tins_sent((6, 1))
    send(lot, 4, 7, "B2")
    first = returning.take_back(Act("A"), **came(lot, 8, 1)).step
    assert Step.objects.filter(stage="returning").count() == 2
    returning.settle(Act("C"), returned=first, fate="destroyed", why="Smells", witness="B", happened_at=make.next_moment())
    answer = recall(at_lots(find(lot.code)))
    series = next(one for one in answer.series.values() if one.lot.code == lot.code)
    assert (series.made_count, series.dispatched_count, series.returned_count, series.destroyed_count, series.here_count) == (20, 2, 8, 6, 12)
    assert answer.scope.dispatched_by_consignee == {"B2": 2}
    assert verify_book() == []


def test_without_numbers_the_delivery_is_the_only_one_or_is_named() -> None:
    lot = tins_sent((6, None))
    returning.take_back(Act("A"), **came(lot, 1, None))
    returning.take_back(Act("A"), **came(lot, 1, 17))
    second = send(lot, 5, None, "B2")
    assert expect(came(lot, 1, None), "several deliveries").field == "consignment"
    returning.take_back(Act("A"), **came(lot, 5, None, consignment=second))
    expect(came(lot, 5, None), "would be back, and that delivery has 4")
    assert verify_book() == []


def expect(asked: dict[str, object], match: str) -> object:
    return refused(returning.take_back, match, **asked)


def test_what_has_not_left_does_not_come_back() -> None:
    lot = tins_sent((6, 1))
    expect(came(lot, 1, 7), "has not left by the book")
    expect(came(lot, 1, 21), "has no pack 21")
    expect(came(lot, 0, None), "At least one")
    expect(came(lot, 7, None), "would be back, and that delivery has 6")
    expect(came(lot, 1, 1) | {"why": ""}, "Say why")
    expect(came(lot, 1, 1) | {"packs": []}, "at least one")
    returning.take_back(Act("A"), **came(lot, 1, 1))
    expect(came(lot, 1, 1), "has not left by the book")
    assert verify_book() == []


def test_neither_a_return_nor_its_consignment_is_taken_back() -> None:
    lot = tins_sent((6, 1))
    step = returning.take_back(Act("A"), **came(lot, 1, 1)).step
    sent = PackReturn.objects.get().consignment_id
    act = {"happened_at": make.next_moment()}
    expect_refusal(correcting.reverse, "A return is not corrected", why="Wrong", step=step, **act)
    expect_refusal(correcting.reverse, "came back since", why="Wrong", step=sent, **act)


def test_a_power_cut_leaves_no_half_return(monkeypatch: pytest.MonkeyPatch) -> None:
    lot = tins_sent((6, 1))
    asked, before, act, writes = came(lot, 2, 1, destroyed=True, witness="C"), standing(), Act("A"), Writes(monkeypatch)
    writes.break_off(5)
    with pytest.raises(LightsOut):
        returning.take_back(act, **asked)
    assert standing() == before
    writes.last = -1
    first = returning.take_back(act, **asked)
    again = returning.take_back(act, **asked)
    assert (again.repeated, again.step) == (True, first.step)
    assert verify_book() == []
