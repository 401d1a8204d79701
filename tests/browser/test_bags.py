"""Leaf in with gloves: the card once, then a number and Enter for each bag."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from lots.models import HarvestBag
from tests.browser.hands import Hands
from tests.browser.sights import DESKTOP
from tests.factories import found_small_mill, hand


@pytest.fixture
def clerk(live_server: Any, page_as: Any) -> Hands:
    found_small_mill()
    return Hands(page_as(DESKTOP, hand("clerk")))


def test_a_further_bag_is_a_number_and_enter(clerk: Hands) -> None:
    clerk.page.goto(reverse("harvest-bags"))
    clerk.settle()
    clerk.scan("P1")
    keys = clerk.keys
    for kilograms in ("19.50", "20.10", "18.40"):
        clerk.figure(kilograms)
    assert clerk.keys - keys == 3 * len("19.50\n")
    expect(clerk.page.locator("[data-live-here]")).to_contain_text("58.00 kg in 3 bags, 19.3 kg each on average.")
    clerk.enter()
    assert clerk.pen["name"] == "moisture"
    clerk.follow("Take the leaf in")
    clerk.told("58.00 kg of fresh leaf in 3 bags")
    assert list(HarvestBag.objects.order_by("bag_no").values_list("mass_mg", flat=True)) == [19_500_000, 20_100_000, 18_400_000]
