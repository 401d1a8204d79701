"""Goods from outside, as a clerk at the door takes them in."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import GoodsReceipt, GoodsRefused, Hold, Lot, OpeningStock, PackagingLot
from lots.read.packaging import packaging_lots
from tests import factories
from tests.desk.conftest import Hands, asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/goods-in/"


@pytest.fixture(autouse=True)
def supplier(mill: None) -> None:
    factories.enter("party", "M1", name="Refiner Under the Ridge", contact="telephone M1", roles="supplier refiner")


def certified(**other: object) -> None:
    today = timezone.localdate()
    fields = {
        "party": "M1", "kind": "organic", "number": "OR-7", "issuer": "House of seals", "materials": "crude_leaf refined_leaf",
        "holds_from_on": today - dt.timedelta(days=90), "holds_until_on": today + dt.timedelta(days=90),
    }
    factories.enter("certificate", "C1", **{**fields, **other})


def came(**other: str) -> dict[str, str]:
    return typed(**{
        "supplier": "M1", "material": "crude_leaf", "weighed_mg": "48.30", "reading_count": "2", "stated_mg": "48.300", "moisture": "4.6",
        "moisture_basis": "wet", "paper_no": "L-204", "supplier_lot": "RU-88", "label_check": "agrees", "seal": "whole",
        "state": "conventional", "scale": "S2", **other,
    })


def test_a_delivery_is_taken_in_with_its_papers(clerk: Client) -> None:
    told = written(clerk, URL, came(origin="Valley of the ridge"))
    row, lot = GoodsReceipt.objects.get(), Lot.objects.get()
    assert (row.supplier.code, row.supplier_lot, row.paper_no, row.stated_mg) == ("M1", "RU-88", "L-204", 48_300_000)
    assert (row.label_check, row.seal, row.state, row.origin, row.lot_assigned) == (
        "agrees", "whole", "conventional", "Valley of the ridge", False,
    )
    assert (lot.material, lot.mass_mg, lot.owner) == ("crude_leaf", 48_300_000, None)
    assert "48.30 kg of crude leaf from M1, conventional" in told
    assert "From Refiner Under the Ridge, their lot" in told
    assert "says 48.30 kg. Label and paper agree. The seal was whole." in told


def test_without_a_lot_of_the_supplier_ours_stands_for_both(clerk: Client) -> None:
    assert "ours stands for both" in written(clerk, URL, came(supplier_lot=""))
    row = GoodsReceipt.objects.get()
    assert (row.supplier_lot, row.lot_assigned) == (Lot.objects.get().code, True)


def test_organic_needs_a_certificate_of_that_day_and_material(clerk: Client) -> None:
    fields = came(state="organic")
    assert "No certificate of M1 says organic of crude leaf" in refused(clerk, URL, fields)
    certified(materials="refined_leaf")
    assert "take the goods in as conventional" in refused(clerk, URL, fields)
    certified()
    assert "of House of seals covers it until" in page(clerk.post(f"{URL}live/", fields))
    written(clerk, URL, fields)
    assert (GoodsReceipt.objects.get().certificate.number, GoodsReceipt.objects.get().state) == ("OR-7", "organic")


def test_a_paper_that_says_more_is_asked_about(clerk: Client) -> None:
    fields = came(stated_mg="50.000")
    first = clerk.post(URL, fields)
    assert "The paper says 50.000 kg and the scale 48.300 kg" in page(first)
    written(clerk, URL, {**fields, **asked(first), "act_reason_own": "One sack was left behind"})
    assert Lot.objects.get().step.reason == "One sack was left behind"


def test_held_at_once_with_a_reason(clerk: Client) -> None:
    told = written(clerk, URL, came(hold_why="Certificate is on its way"))
    assert Hold.objects.get().lot == Lot.objects.get()
    assert "It is held at once." in told


def test_goods_sent_away_are_no_lot(clerk: Client) -> None:
    told = written(clerk, f"{URL}sent-away/", typed(
        supplier="M1", material="crude_leaf", stated_mg="30.000", paper_no="L-205", why="Wet sacks",
    ))
    row = GoodsRefused.objects.get()
    assert (row.why, row.stated_mg, Lot.objects.count()) == ("Wet sacks", 30_000_000, 0)
    assert "nothing of it is in the house" in told
    assert "Crude leaf of Refiner Under the Ridge sent away." in told
    assert "Write a few words." in refused(clerk, f"{URL}sent-away/", typed(supplier="M1", material="crude_leaf", paper_no="L-206"))


def test_packaging_gets_a_code_and_knows_what_is_left(hands: Hands) -> None:
    packer = hands("packing")
    factories.enter("packaging_item", "TIN30", name="Tin of 30 g", kind="tin")
    fields = {"item": "TIN30", "supplier": "M1", "counted_count": "500", "stated_count": "500", "paper_no": "T-1", "label_check": "agrees"}
    told = written(packer, f"{URL}packaging/", typed(**fields))
    lot = PackagingLot.objects.get()
    assert (lot.lot_assigned, lot.counted_count, lot.code[0]) == (True, 500, "G")
    assert "write this code on the parcels" in told
    assert "500 came from Refiner Under the Ridge. Of the lot 500 should be left." in told
    written(packer, f"{URL}packaging/", typed(**{**fields, "supplier_lot": "T-77"}))
    assert [(one.code, one.left_count) for one in packaging_lots()] == [(lot.code, 500), ("T-77", 500)]
    first = packer.post(f"{URL}packaging/", typed(**{**fields, "supplier_lot": "t-77", "stated_count": "600"}))
    assert "Packaging t-77 came in before." in page(first)
    assert "The paper says 600 and 500 were counted." in page(first)


def test_stock_from_before_keeps_its_paper(clerk: Client) -> None:
    told = written(clerk, f"{URL}from-before/", typed(
        material="refined_leaf", weighed_mg="12.40", moisture="3.0", moisture_basis="wet", paper_no="Book 3, page 12",
        origin="First flush of the upper terraces", sold_count="40", sold_to="Tea House East, telephone B1", scale="S2",
    ))
    row = OpeningStock.objects.get()
    assert (row.paper_no, row.sold_count) == ("Book 3, page 12", 40)
    assert "Its origin counts as unknown" in told
    assert "Packs sold before: 40." in told
    assert "Tea House East" not in told


def test_the_list_is_narrowed_and_handed_out(clerk: Client, hands: Hands) -> None:
    written(clerk, URL, came())
    written(clerk, f"{URL}sent-away/", typed(supplier="M1", material="refined_leaf", paper_no="L-205", why="Wet sacks"))
    inspector = hands("auditor")
    assert "2 deliveries." in page(inspector.get(f"{URL}deliveries/"))
    away = page(inspector.get(f"{URL}deliveries/?became=away"))
    assert "Wet sacks" in away
    assert "RU-88" not in away
    rows = inspector.get(f"{URL}deliveries/file/?q=ru-88").content.decode("utf-8-sig").splitlines()
    assert len(rows) == 2
    assert ",48.30,48.30,L-204,Label and paper agree.,conventional,,taken in," in rows[1]
    assert "Deliveries" in page(inspector.get(f"{URL}deliveries/?first_on=tomorrow"))


def test_sent_twice_is_one_delivery(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, came())


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields, before = came(), entries()
    broken_off(clerk, URL, fields, monkeypatch)
    assert entries() == before
    written(clerk, URL, fields)
    assert Lot.objects.count() == 1


def test_leaf_goes_for_hire_and_comes_back(clerk: Client) -> None:
    factories.enter("party", "M2", name="Mill at the bridge", contact="telephone M2", roles="refiner")
    leaf = factories.RefinedLeaf()
    base = f"{URL}for-hire/"
    told = written(clerk, f"{base}send/", typed(lot=leaf.code, party="M2", paper_no="H-1", scale="S2"))
    gone = Lot.objects.get(holder__isnull=False)
    assert "Mill at the bridge has it." in told
    assert "Sent to Mill at the bridge, paper" in told
    powder = f"{leaf.mass_mg / 1e6 * 0.99 * 0.97 / 0.956:.3f}"
    told = written(clerk, f"{base}back/", typed(
        lots=gone.code, powder_mg=powder, left_mg="0.000", moisture="4.4", moisture_basis="wet", sieved="no", paper_no="H-2", scale="S3",
        reading_count="4",
    ))
    assert "Nothing is away." in told
    assert "Back from Mill at the bridge" in told


def test_goods_of_others_come_and_go_home(clerk: Client, hands: Hands) -> None:
    factories.enter("party", "O1", name="Owner of the lower gate", contact="telephone O1", roles="owner")
    written(clerk, URL, came(supplier="O1", owner="O1"))
    lot = Lot.objects.get()
    base = f"{URL}for-hire/"
    assert "It belongs to Owner of the lower gate. It stands here." in page(hands("auditor").get(base))
    told = written(clerk, f"{base}hand-over/", typed(lots=lot.code, party="O1", paper_no="H-3"))
    assert "Handed over to Owner of the lower gate, paper" in told
    assert "Nothing of others is here." in told
