"""A shipping week by hand: a sample, a result over a limit, a stop, a second result and the decision, an order, a return, a recall."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from lots.models import Consignment, DecisionGround, Hold, LabResult, Lot, LotDecision, PackReturn, SalesCase, SalesOrder
from lots.read.names import printed
from lots.read.verifying import verify_book
from tests.browser.hands import Hands, come_in
from tests.browser.sights import DESKTOP
from tests.factories import Chain, chain, found_small_mill
from tests.record.labs import PAH, laboratory
from tests.record.selling import codes, enter_units


@pytest.fixture
def story(db: None) -> Chain:
    """Twenty tins of which six have gone, a laboratory with its limits, cartons of four."""
    found_small_mill()
    laboratory()
    enter_units()
    return chain()


def follow_first(hands: Hands, words: str) -> None:
    """Follow the first way whose words begin so; what it is about stands behind them for ears alone."""
    hands.walk(lambda pen: pen["tag"] == "A" and pen["words"].startswith(words))
    with hands.page.expect_navigation():
        hands.page.keyboard.press("Enter")
    hands.settle()


def fill(hands: Hands, **typed: str) -> None:
    """Walk to each line in turn and type over what stands there."""
    for name, text in typed.items():
        hands.to_line(name)
        hands.retype(text)


def pick_from_list(hands: Hands, name: str, value: str) -> None:
    """Walk to a list and down it with the arrow key."""
    hands.to_line(name)
    for _ in range(12):
        if hands.page.evaluate("document.activeElement.value") == value:
            return
        hands.page.keyboard.press("ArrowDown")
    raise AssertionError(value)


def main_of(hands: Hands) -> Any:
    return hands.page.locator("main")


def take_a_sample(hands: Hands, tins: Lot) -> None:
    hands.follow("Tests and release")
    hands.follow("Take a sample")
    hands.scan(tins.code)
    fill(hands, pack_count="1", sample_no="A-1", method="ISO 1839")
    hands.choose("For which laboratory", "L1")
    hands.follow("Write the sample down")
    hands.told("Sample A-1 of lot")


def enter_a_result(hands: Hands, value: str) -> str:
    """One result of the sample, line by line as the report has it; return what the desk says of it."""
    fill(hands, parameter=PAH)
    hands.choose("What the laboratory found", "a value")
    fill(hands, value=value)
    pick_from_list(hands, "unit", "ug/kg")
    hands.choose("Basis", "as sold")
    hands.choose("Laboratory", "L1")
    fill(hands, method="GC-MS", reported_on=timezone.localdate().isoformat())
    hands.follow("Write the result down")
    return hands.told(PAH)


def over_the_limit(hands: Hands, tins: Lot) -> None:
    """The act that tells of the result stops the lot as well."""
    hands.follow("Tests and release")
    hands.follow("Enter its result")
    assert "The lot is stopped" in enter_a_result(hands, "14")
    expect(main_of(hands)).to_contain_text("A result is over a limit of today.")
    stop = Hold.objects.get()
    assert (stop.lot, stop.entry_id) == (tins, LabResult.objects.get().step.entry_id)


def cannot_go(hands: Hands, tins: Lot) -> None:
    """Stopped tea does not leave, and what was typed still stands there."""
    before = Consignment.objects.count()
    hands.follow("Going out")
    hands.scan(f"{tins.code} 4")
    hands.choose("For whom?", "Tea House East")
    hands.follow("Send it out")
    expect(main_of(hands)).to_contain_text("cannot go out")
    expect(main_of(hands)).to_contain_text(f"Laboratory: {PAH} 14 ug/kg")
    assert Consignment.objects.count() == before


def release(hands: Hands) -> None:
    """A second result is within; the decision names both and says why the later one counts."""
    hands.follow("Enter a result")
    fill(hands, sample_no="A-1")
    assert "Within" in enter_a_result(hands, "3")
    hands.follow("Decide on this lot")
    hands.choose("What is decided", "released")
    hands.walk(lambda pen: pen["name"] == "markets" and pen["words"] == "EU")
    hands.page.keyboard.press("Space")
    fill(hands, ground="The second vial, tested twice")
    hands.follow("Write the decision down")
    expect(main_of(hands)).to_contain_text("Say why the later one counts.")
    fill(hands, act_reason_own="The first vial was mixed up")
    hands.follow("It is right, write it down")
    expect(main_of(hands)).to_contain_text("Released for EU by badge C.")
    step = LotDecision.objects.get().step
    assert set(DecisionGround.objects.filter(step=step).values_list("result", flat=True)) == set(LabResult.objects.values_list("pk", flat=True))
    assert Hold.objects.get(kind=Hold.Kind.RELEASE).entry_id == step.entry_id


def order(hands: Hands) -> str:
    hands.follow("Going out")
    hands.follow("Orders")
    fill(hands, count_T30="6")
    hands.choose("Who gets it?", "Tea House East")
    fill(hands, reference="PO 77")
    hands.follow("Take the order")
    hands.told("6 packs for Tea House East")
    return SalesOrder.objects.get().code


def close_a_carton(hands: Hands, scanned: list[str]) -> str:
    hands.follow("Going out")
    hands.follow("Pack a case")
    for code in scanned:
        hands.scan(code)
    hands.choose("What kind of case?", "Carton of 4 tins")
    hands.follow("Close the case")
    expect(hands.page.locator(".told")).to_be_visible()
    return SalesCase.objects.get().code


def send(hands: Hands, scanned: list[str]) -> None:
    hands.follow("Going out")
    for code in scanned:
        hands.scan(code)
    hands.enter()
    fill(hands, document_no="D-81")
    hands.follow("Send it out")
    hands.told("6 packs for Tea House East")


def come_back(packer: Hands, lead: Hands, scanned: list[str]) -> None:
    """The packer takes them back; only quality says what becomes of them."""
    packer.follow("Packs that came back")
    for code in scanned:
        packer.scan(code)
    packer.enter()
    fill(packer, why="Ordered twice")
    packer.choose("How are they?", "unopened")
    packer.choose("What becomes of them?", "they wait for quality")
    packer.follow("Take them back")
    packer.told("2 packs came back and wait for quality.")
    lead.follow("Going out")
    lead.follow("Packs that came back")
    follow_first(lead, "Say what becomes of them")
    lead.choose("What becomes of them?", "in stock again")
    fill(lead, why="Seals whole, kept cool")
    lead.follow("Write it down")
    lead.told("They are in stock again.")


def recall_and_trace(hands: Hands, story: Chain) -> None:
    """Whoever has packs of it stands in the report and in the trace, from the leaf on."""
    hands.follow("Papers")
    hands.walk(lambda pen: pen["words"] == "Make one" and hands.page.evaluate("document.activeElement.pathname") == reverse("recall"))
    with hands.page.expect_navigation():
        hands.page.keyboard.press("Enter")
    hands.to_line("lot")
    hands.type(story.fresh.code)
    fill(hands, case="R-1", reason="Drill of the week")
    hands.follow("Look it up")
    for words in ("Tea House East.", "D-1", "D-81", printed(story.packed[0].code)):
        expect(main_of(hands)).to_contain_text(words)
    hands.follow("Where from, where to")
    hands.to_line("code")
    hands.scan(codes(story.packed[0], 10)[0])
    for words in ("Lantern Terrace", "Tea House East, 4 tins", "Delivery note D-81"):
        expect(main_of(hands)).to_contain_text(words)


def test_a_shipping_week_from_the_sample_to_the_recall(open_page: Any, story: Chain) -> None:
    lead, packer, tins = come_in(open_page(DESKTOP), "quality"), come_in(open_page(DESKTOP), "packing"), story.packed[0]
    take_a_sample(lead, tins)
    over_the_limit(lead, tins)
    cannot_go(packer, tins)
    release(lead)
    asked = order(packer)
    case = close_a_carton(packer, codes(tins, 8, 9, 10, 11))
    send(packer, [asked, case, *codes(tins, 12, 13)])
    come_back(packer, lead, codes(tins, 8, 9))
    assert PackReturn.objects.get().step.stage == "returning"
    recall_and_trace(lead, story)
    assert verify_book() == []
