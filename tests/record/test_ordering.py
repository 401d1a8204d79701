"""Orders: taken, served in part and whole by what may leave, cancelled; cases leave whole."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lots.codes.sale import parse_order_code
from lots.models import ConsignedCase, Consignment, Lot, OrderLine, PackMove, PrivateValue, SalesOrder
from lots.read.loose import loose
from lots.read.ordering import may_serve, open_orders, order_named, orders_now
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import casing, dispatch, ordering
from lots.record.acts import Act
from lots.record.dispatch import Packs
from tests import factories as make
from tests.record.asking import expect_refusal, take_back
from tests.record.selling import carton, codes, enter_units, ordered, refused

pytestmark = pytest.mark.usefixtures("mill")


class Taken(make.Recorded):
    _record = staticmethod(ordering.take)
    ship_to = "B1"
    lines = make.factory.LazyFunction(lambda: {"T30": 6})


class Cancelled(make.Recorded):
    _record = staticmethod(ordering.cancel)
    order = make.factory.LazyFunction(lambda: ordered({"T30": 6}).code)
    why = "The shop has closed"


@pytest.fixture
def tins() -> Lot:
    """A series of twenty tins, with the units in which they are sold."""
    enter_units()
    return make.Packed()


def now(order: SalesOrder) -> object:
    return orders_now([SalesOrder.objects.select_related("ship_to", "bill_to", "step").get(pk=order.pk)])[0]


def serve(order: SalesOrder, **other: object) -> int | None:
    return dispatch.consign(Act("B"), **({"order": order.code, "happened_at": make.next_moment()} | other)).step


def test_an_order_says_who_gets_what_who_pays_and_until_when() -> None:
    order = ordered({"T30": 12, "B100": 3}, bill_to="B2", wanted_on=make.today(), reference="PO 77", market="Japan")
    assert parse_order_code(order.code) == order.code
    assert (order.ship_to.code, order.bill_to.code, order.reference, order.market) == ("B1", "B2", "PO 77", "Japan")
    assert sorted(OrderLine.objects.values_list("product__code", "pack_count")) == [("B100", 3), ("T30", 12)]
    assert order_named("po 77") == order_named(order.code) == order
    assert [one.open_count for one in open_orders()] == [15]
    assert verify_book() == []


@pytest.mark.parametrize(("lines", "match"), [({}, "Nothing was ordered"), ({"T30": 0}, "At least one"), ({"T31": 2}, "register of products")])
def test_an_order_asks_for_something_that_is_sold(lines: dict[str, int], match: str) -> None:
    expect_refusal(ordering.take, match, ship_to="B1", lines=lines, happened_at=make.next_moment())


def test_an_order_is_served_in_part_and_then_whole(tins: Lot) -> None:
    order = ordered({"T30": 12}, bill_to="B2")
    step = serve(order, packs=[Packs(tins.code, 5, 1)], carrier="Valley carriers", carrier_contact="0123 45", ship_from="Store 2",
                 least_c=Decimal("2.0"), most_c=Decimal("8.0"))
    row = Consignment.objects.get(step=step)
    assert (row.consignee.code, row.bill_to.code, row.order_id, row.ship_from) == ("B1", "B2", order.pk, "Store 2")
    assert "0123 45" in PrivateValue.objects.get(pk=row.carrier_contact).value
    assert now(order).open_count == 7
    expect_refusal(dispatch.consign, "5 have gone, and 8 more were scanned", order=order.code, packs=[Packs(tins.code, 8, 6)],
                   happened_at=make.next_moment())
    serve(order, packs=[Packs(tins.code, 7)])
    assert open_orders() == []
    expect_refusal(dispatch.consign, "was served whole before", order=order.code, packs=[Packs(tins.code, 1)], happened_at=make.next_moment())
    take_back(step)
    assert now(order).open_count == 5
    assert verify_book() == []


def test_an_order_goes_to_its_own_buyer_with_its_own_products(tins: Lot) -> None:
    order, bags = ordered({"T30": 12}), make.lots_of(tins.step, "packed_tea")[1]
    asked = {"order": order.code, "happened_at": make.next_moment()}
    expect_refusal(dispatch.consign, "goes to B1, not to B2", consignee="B2", packs=[Packs(tins.code, 1)], **asked)
    expect_refusal(dispatch.consign, "does not ask for B100", packs=[Packs(bags.code, 1)], **asked)
    expect_refusal(dispatch.consign, "runs backwards", packs=[Packs(tins.code, 1)], least_c=Decimal(9), most_c=Decimal(2), **asked)
    expect_refusal(dispatch.consign, "No order Z26", packs=[Packs(tins.code, 1)], order="Z26-NONE", happened_at=make.next_moment())


def test_a_cancelled_order_is_not_served(tins: Lot) -> None:
    order = ordered({"T30": 12})
    refused(ordering.cancel, "Say why", order=order.code, why="", happened_at=make.next_moment())
    ordering.cancel(Act("A"), order=order.code, why="The shop has closed", happened_at=make.next_moment())
    assert open_orders() == []
    expect_refusal(dispatch.consign, "was cancelled", order=order.code, packs=[Packs(tins.code, 1)], happened_at=make.next_moment())
    assert verify_book() == []


def test_cases_leave_whole_and_their_packs_not_one_by_one(tins: Lot) -> None:
    first, second = carton(tins, 1), carton(tins, 5)
    outer = casing.close(Act("B"), sales_unit="CASE8", scanned=[first.code, second.code], happened_at=make.next_moment())
    order, at = ordered({"T30": 12}), make.next_moment()
    expect_refusal(dispatch.consign, "lies in case", order=order.code, packs=[Packs(tins.code, 1, 3)], happened_at=at)
    expect_refusal(dispatch.consign, "8 of them in cases", order=order.code, packs=[Packs(tins.code, 13)], happened_at=at)
    expect_refusal(dispatch.consign, "Scan that one", order=order.code, cases=[first.code], happened_at=at)
    code = first.__class__.objects.get(step=outer.step).code
    step = serve(order, cases=[code], packs=[Packs(tins.code, 4, 9)])
    assert list(PackMove.objects.filter(step=step).values_list("first_no", "last_no")) == [(1, 4), (5, 8), (9, 12)]
    assert ConsignedCase.objects.filter(step=step).count() == 3
    expect_refusal(dispatch.consign, "has gone out before", consignee="B1", cases=[code], happened_at=make.next_moment())
    assert (loose(first.unit).cased_count, series_state(first.unit).here_count) == (0, 8)
    take_back(step)
    assert loose(first.unit).cased_count == 8
    assert verify_book() == []


def test_first_expiring_goes_first_and_what_stays_is_named_with_its_ground(tins: Lot) -> None:
    late = make.Packed(lots=[make.Sieved()], packed_on=make.today() - make.dt.timedelta(days=184))
    soon = make.Packed(lots=[make.Sieved()], packed_on=make.today() - make.dt.timedelta(days=90))
    make.Held(lot=tins)
    order = now(ordered({"T30": 40}))
    serves = may_serve(order, make.today())
    assert [one.lot_code for one in serves] == [late.code, soon.code, tins.code]
    assert [one.may_go for one in serves] == [False, True, False]
    assert (serves[0].expired, serves[2].hold.reason) == (True, "A smell of smoke")


def test_a_scanned_pack_of_a_case_that_was_opened_may_go(tins: Lot) -> None:
    case = carton(tins, 1)
    casing.open_again(Act("B"), case=case.code, why="Sold singly", happened_at=make.next_moment())
    expect_refusal(dispatch.consign, "was opened again", consignee="B1", cases=[case.code], happened_at=make.next_moment())
    assert codes(tins, 2)
    assert serve(ordered({"T30": 2}), packs=[Packs(tins.code, 2, 2)])
    assert verify_book() == []
