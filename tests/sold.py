"""A small story of what is sold: a case in a case, an order that was served and one that is open, a round, returns, a person forgotten."""

from __future__ import annotations

from decimal import Decimal

from lots.models import Consignment, Lot, SalesCase, SalesOrder
from lots.record import casing, dispatch, forgetting, ordering, returning
from lots.record.acts import Act
from lots.record.dispatch import Packs, Parcel
from tests import factories as make


def sell(lot: Lot, first_no: int = 7) -> None:
    """Sell nine packs of a series of tins, from one number on: four in cartons, three by post, two as they stand."""
    at = make.next_moment
    make.enter("sales_unit", "PAIR", name="Carton of 2 tins", name_ja="2缶入り", product="T30", held_count=2)
    make.enter("sales_unit", "FOUR", name="Case of 2 cartons", name_ja="2箱入り", holds="PAIR", held_count=2)
    cartons = [
        casing.close(Act("B"), sales_unit="PAIR", counted=Packs(lot.code, 2, no), happened_at=at()).step for no in (first_no, first_no + 2)
    ]
    codes = list(SalesCase.objects.filter(step__in=cartons).values_list("code", flat=True))
    case = SalesCase.objects.get(step=casing.close(Act("B"), sales_unit="FOUR", scanned=codes, happened_at=at()).step)
    again = casing.close(Act("B"), sales_unit="PAIR", counted=Packs(lot.code, 2, first_no + 4), happened_at=at()).step
    casing.open_again(Act("B"), case=SalesCase.objects.get(step=again).code, why="Sold singly", happened_at=at())
    order, rest, gone = (
        SalesOrder.objects.get(step=ordering.take(
            Act("A"), ship_to="B1", bill_to="B2", lines={"T30": count}, wanted_on=make.today(), reference=f"PO {count}", market="Japan",
            happened_at=at(),
        ).step).code for count in (6, 8, 9)
    )
    ordering.cancel(Act("A"), order=gone, why="The shop has closed", happened_at=at())
    sent = dispatch.consign(
        Act("B"), order=order, cases=[case.code], packs=[Packs(lot.code, 2, first_no + 4)], document_no="D-2", carrier="Valley carriers",
        carrier_contact="0123 45", recipient="The tea master", ship_from="Store 2", least_c=Decimal(2), most_c=Decimal(8), happened_at=at(),
    ).step
    assert rest
    parcels = [Parcel(f"Ito {name}", "3 Harbour Road", "ito@tea.example", "T30", 1) for name in ("Aya", "Ken", "Mei")]
    first = dispatch.parcels(Act("B"), consignee="B1", parcels=parcels, happened_at=at()).step
    seal = Consignment.objects.get(step=first).recipient
    forgetting.forget(Act("F"), commitments=[seal], why="Asked by letter", happened_at=at())
    back = {"why": "Dented", "state": "damaged", "sender": "The shop", "consignment": sent}
    returning.take_back(
        Act("A"), packs=[Packs(lot.code, 1, first_no)], destroyed=True, witness="C", evidence="Picture 12", **back, happened_at=at(),
    )
    returning.take_back(Act("A"), packs=[Packs(lot.code, 1, first_no + 1)], **back, happened_at=at())
