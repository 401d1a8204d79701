"""Where the book ends: suppliers and older paper in the book of a lot, and what a recall names beyond our own consignees."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests import factories
from tests.desk.conftest import Hands, page
from tests.record.goods import Entrusted, HandedOver, Stocked, TakenIn, theirs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds", "mill")]


def test_the_book_of_a_tub_names_the_supplier_of_its_leaf(clerk: Client) -> None:
    leaf = TakenIn(supplier_lot="TL-9", origin="The valley beyond the pass")
    tub = factories.mill(leaf).tubs[0]
    told = page(clerk.get(reverse("lot", args=[tub.code])))
    assert "Tsugumi leaf house, their lot" in told
    assert "It tells: The valley beyond the pass." in told
    assert "nobody knows where its leaf grew" in told


def test_a_recall_of_old_stock_names_who_bought_its_packs_before(hands: Hands) -> None:
    stock = Stocked()
    factories.Packed(lots=[stock])
    lead = hands("recall_lead")
    told = page(lead.get(f"{reverse('recall')}?lot={stock.code}&case=A-1&kind=drill&reason=Smoke"))
    assert "Before the book began, 40 packs of" in told
    assert "were sold to Tea House East: call them too (paper Book 3, page 12)." in told
    assert "to Tea House East." in page(lead.get(reverse("lot", args=[stock.code])))


def test_what_went_out_in_bulk_is_named(hands: Hands) -> None:
    lot, leaf = theirs(), factories.RefinedLeaf()
    HandedOver(lots=[lot])
    Entrusted(lot=leaf, weighed=factories.kg("1.000"))
    lead = hands("recall_lead")
    for code, who in ((lot.code, "Owner of the lower gate"), (leaf.code, "Mill at the bridge")):
        told = page(lead.get(f"{reverse('recall')}?lot={code}&case=A-1&kind=drill&reason=Smoke"))
        assert f"went to {who} in bulk" in told
    assert "1.00 kg in bulk, paper" in page(lead.get(reverse("lot", args=[leaf.code])))
