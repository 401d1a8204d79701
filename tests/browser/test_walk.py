"""One lot by hand from the field to the buyer: the desk with a keyboard and a scanner, each person under an own name."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from lots.models import Lot
from lots.read.verifying import verify_book
from tests.browser.hands import Hands, come_in
from tests.browser.screens import pack_of
from tests.browser.sights import DESKTOP
from tests.factories import found_small_mill


def day(days_ago: int) -> str:
    return (timezone.localdate() - dt.timedelta(days=days_ago)).isoformat()


def lots_in(told: str) -> list[str]:
    """The codes of a read-back as their symbols carry them: without hyphens."""
    return [code.replace("-", "") for code in re.findall(r"\b[A-Z]\d{2}-[0-9A-Z]{6}\b", told)]


class Season:
    """The acts of the chain, each as the hands do it; what was opened is read off the page, as off a label."""

    def __init__(self, open_page: Any) -> None:
        self.open_page = open_page
        self.people: dict[str, Hands] = {}
        self.job = ""

    def by(self, role: str) -> Hands:
        if role not in self.people:
            self.people[role] = come_in(self.open_page(DESKTOP), role)
        return self.people[role]

    def leaf_in(self) -> str:
        hands = self.by("clerk")
        hands.follow("Leaf in")
        hands.scan("P1")
        hands.figure("3")
        hands.figure("60.00")
        hands.type("80.3")
        hands.choose("Basis", "per 100 wet")
        hands.to_line("plucked_on")
        hands.retype(day(9))
        hands.earlier(day(9), "09:30")
        hands.save()
        return lots_in(hands.told("60.00 kg"))[0]

    def oven(self, leaf: str) -> str:
        hands = self.by("clerk")
        hands.follow("Oven")
        hands.scan(leaf)
        hands.figure("10.41")
        hands.type("4.6")
        hands.choose("Basis", "per 100 wet")
        hands.to_line("stem_mg")
        hands.figure("1.74")
        hands.type("5.1")
        hands.choose("Basis", "per 100 wet")
        hands.earlier(day(9), "18:00")
        hands.save()
        return lots_in(hands.told("Crude leaf 10.41 kg"))[0]

    def sorting(self, crude: str) -> str:
        hands = self.by("clerk")
        hands.follow("Sorting")
        hands.scan(crude)
        hands.figure("7.99")
        hands.type("3.0")
        hands.choose("Basis", "per 100 wet")
        hands.to_line("vein_stem_mg")
        hands.figure("1.46")
        hands.figure("0.54")
        hands.type("0.21")
        hands.earlier(day(8), "11:00")
        hands.save()
        return lots_in(hands.told("Refined leaf 7.99 kg"))[0]

    def charge(self, leaf: str, days_ago: int) -> None:
        hands = self.by("clerk")
        hands.follow("Stones")
        hands.follow("Charge a hopper")
        hands.scan("SP1")
        hands.scan(leaf)
        hands.type("0.880")
        if not self.job:
            self.job = "J26-01"
            hands.to_line("job")
            hands.type(self.job)
        hands.earlier(day(days_ago), "08:00")
        hands.save()
        hands.told("0.880 kg")

    def tub(self, days_ago: int, moisture: str = "") -> str:
        hands = self.by("clerk")
        hands.follow("Stones")
        hands.follow("Take a tub off")
        hands.scan("SP1")
        hands.type("0.886")
        hands.earlier(day(days_ago), "06:00")
        if moisture:
            hands.unfold()
            hands.to_line("moisture")
            hands.type(moisture)
            hands.choose("Basis", "per 100 wet")
        hands.follow("Take the tub off")
        return lots_in(hands.told("40.3 g/h over 22.0 hours"))[0]

    def end_and_clean(self, days_ago: int) -> None:
        hands = self.by("clerk")
        hands.follow("Stones")
        hands.follow("End a run")
        hands.scan("SP1")
        hands.type("0")
        hands.earlier(day(days_ago), "06:10")
        hands.save()
        hands.told("nothing was left over")
        hands.follow("Clean-down")
        hands.scan("SP1")
        hands.choose("Was it opened?", "opened")
        hands.earlier(day(days_ago), "06:40")
        hands.save()
        hands.told("what comes next does not touch the leaf before")

    def sieve(self, tubs: list[str]) -> str:
        hands = self.by("packing")
        hands.follow("Sieve")
        for tub in tubs:
            hands.scan(tub)
        hands.enter()
        hands.figure("1.76")
        hands.type("0.011")
        hands.choose("What becomes of the oversize?", "mill again")
        hands.earlier(day(4), "09:00")
        hands.save()
        return lots_in(hands.told("1.76 kg through the screen"))[0]

    def pack(self, powder: str) -> str:
        hands = self.by("packing")
        hands.follow("Tins and bags")
        hands.scan(powder)
        hands.enter()
        for name, figure in (
            ("count_B100", "5"), ("mass_B100", "0.501"), ("count_T30", "20"), ("mass_T30", "0.604"),
            ("kept_count", "2"), ("kept_mg", "0.060"), ("bulk_mg", "0.589"),
        ):
            hands.to_line(name)
            hands.type(figure)
        hands.choose("The kept samples are", "Tins of 30 g")
        hands.follow("Write the packing down")
        return lots_in(hands.told("20 packs").partition("20 packs")[2])[0]

    def send(self, tins: str) -> None:
        hands = self.by("packing")
        hands.follow("Going out")
        hands.scan(f"{tins} 6")
        hands.enter()
        hands.choose("For whom?", "Tea House East")
        hands.to_line("document_no")
        hands.figure("D-77")
        hands.save()
        hands.told("6 packs for Tea House East")


    def read_it_all(self, tins: str, leaf: str) -> None:
        """The quality lead scans the label, then a pack; the plot stands at the end of its way, and everything adds up."""
        hands = self.by("quality")
        hands.follow("Lot book")
        hands.scan(tins)
        hands.page.wait_for_url(f"**/lot/{tins}/")
        page = hands.page.locator("main")
        for words in ("6 packs", "Tea House East", "Document D-77", "Lantern Terrace", "adds up"):
            expect(page).to_contain_text(words)
        hands.follow("Where from, where to")
        hands.to_line("code")
        hands.scan(pack_of(Lot.objects.get(code=tins)))
        expect(hands.page.locator("svg[role=group]")).to_be_visible()
        for words in ("Lantern Terrace", "100 %", "Tea House East", leaf[:3]):
            expect(page).to_contain_text(words)
        hands.follow("Does it add up?")
        expect(hands.page.locator(".lead")).to_contain_text("add up")
        expect(page.locator(".v-stop, .v-look")).to_have_count(0)
        expect(page).not_to_contain_text("Does not add up")


@pytest.fixture
def season(open_page: Any) -> Season:
    found_small_mill()
    return Season(open_page)


def test_a_lot_goes_by_hand_from_the_field_to_the_buyer(season: Season) -> None:
    leaf = season.leaf_in()
    crude = season.oven(leaf)
    refined = season.sorting(crude)
    season.charge(refined, 7)
    tubs = [season.tub(6, "4.4")]
    season.charge(refined, 6)
    tubs.append(season.tub(5))
    season.end_and_clean(5)
    powder = season.sieve(tubs)
    tins = season.pack(powder)
    season.send(tins)
    season.read_it_all(tins, leaf)
    assert verify_book() == []
