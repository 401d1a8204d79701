"""A first-flush week by hand: bought leaf at the door, may we pluck, bag by bag, oven, sorting, and onto the cold shelf."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from lots.models import GoodsReceipt, HarvestBag, Lot, Shelving
from lots.read.verifying import verify_book
from tests.browser.hands import Hands, come_in
from tests.browser.sights import DESKTOP
from tests.browser.test_walk import lots_in
from tests.factories import enter, found_small_mill
from tests.house import shelf


@pytest.fixture
def clerk(open_page: Any) -> Hands:
    found_small_mill()
    enter("party", "SU1", name="Tsugumi leaf house", contact="telephone SU1", roles="supplier")
    shelf("K1")
    return come_in(open_page(DESKTOP), "clerk")


def goods_in(hands: Hands) -> str:
    """A delivery of bought crude leaf: the paper and the label are held together."""
    hands.follow("Goods in")
    for name, typed in (("weighed_mg", "12.00"), ("stated_mg", "12.00"), ("moisture", "4.6")):
        hands.to_line(name)
        hands.type(typed)
    hands.choose("Basis", "per 100 wet")
    hands.choose("From whom?", "SU1")
    hands.choose("What came?", "crude leaf")
    hands.to_line("paper_no")
    hands.type("D-77")
    hands.to_line("supplier_lot")
    hands.type("TL-9")
    hands.choose("Label and paper", "they agree")
    hands.choose("Seal", "whole")
    hands.choose("Bought as", "conventional")
    hands.follow("Take the goods in")
    return lots_in(hands.told("12.00 kg"))[0]


def may_we_pluck(hands: Hands) -> None:
    """The one list before the pickers go out."""
    hands.follow("Field work")
    hands.follow("May we pluck?")
    expect(hands.page.locator("main")).to_contain_text("Lantern Terrace")


def leaf_in(hands: Hands) -> str:
    """The card once, then a number and Enter for each bag."""
    hands.follow("Leaf in")
    hands.follow("Weigh the bags one by one")
    hands.scan("P1")
    for kilograms in ("19.50", "20.10", "20.40"):
        hands.figure(kilograms)
    hands.enter()
    hands.type("80.3")
    hands.choose("Basis", "per 100 wet")
    hands.follow("Take the leaf in")
    return lots_in(hands.told("60.00 kg of fresh leaf in 3 bags"))[0]


def oven(hands: Hands, leaf: str) -> str:
    hands.follow("Oven")
    hands.scan(leaf)
    hands.figure("10.41")
    hands.type("4.6")
    hands.choose("Basis", "per 100 wet")
    hands.to_line("stem_mg")
    hands.figure("1.74")
    hands.type("5.1")
    hands.choose("Basis", "per 100 wet")
    hands.follow("Write the oven batch down")
    return lots_in(hands.told("Crude leaf 10.41 kg"))[0]


def sorting(hands: Hands, crude: str) -> str:
    hands.follow("Sorting")
    hands.scan(crude)
    hands.figure("7.99")
    hands.type("3.0")
    hands.choose("Basis", "per 100 wet")
    hands.to_line("vein_stem_mg")
    hands.figure("1.46")
    hands.figure("0.54")
    hands.type("0.21")
    hands.follow("Write the sorting down")
    return lots_in(hands.told("Refined leaf 7.99 kg"))[0]


def onto_the_shelf(hands: Hands, lot: str) -> None:
    """Two scans and nothing else."""
    hands.follow("Cold shelves")
    hands.follow("Put a lot on a shelf")
    scans = hands.scans
    hands.scan(lot)
    with hands.page.expect_navigation():
        hands.scan("K1")
    hands.settle()
    assert hands.scans - scans == 2
    hands.told("stands on shelf K1")


def test_a_first_flush_week_from_the_door_to_the_cold_store(clerk: Hands) -> None:
    bought = goods_in(clerk)
    may_we_pluck(clerk)
    refined = sorting(clerk, oven(clerk, leaf_in(clerk)))
    onto_the_shelf(clerk, refined)
    assert GoodsReceipt.objects.get().step.opened.get() == Lot.objects.get(code=bought)
    assert HarvestBag.objects.count() == 3
    assert Shelving.objects.get().lot == Lot.objects.get(code=refined)
    clerk.follow("Where from, where to")
    clerk.to_line("code")
    clerk.scan(refined)
    expect(clerk.page.locator("main")).to_contain_text("Lantern Terrace")
    clerk.follow("Does it add up?")
    expect(clerk.page.locator("main")).not_to_contain_text("Does not add up")
    assert verify_book() == []
