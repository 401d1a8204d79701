"""Hold, fetch back, release."""

from __future__ import annotations

import pytest

from lots.models import Hold
from tests import factories
from tests.desk.conftest import Hands, broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
STOP, BACK, BOARD = "/hold/stop/", "/hold/fetch-back/", "/hold/"


def test_a_clerk_stops_a_delivery(hands: Hands) -> None:
    fresh = factories.FreshLeaf()
    told = written(hands("clerk"), STOP, typed(lot=fresh.code, reason="Smells of diesel"))
    hold = Hold.objects.get()
    assert (hold.lot, hold.kind, hold.reason) == (fresh, "hold", "Smells of diesel")
    assert "is stopped, with everything that was made of it" in told


def test_a_reason_is_needed(hands: Hands) -> None:
    assert "Say why, in a few words." in refused(hands("quality"), STOP, typed(lot=factories.FreshLeaf().code, reason=""))


def test_a_lot_is_fetched_back_with_words_for_its_holders(hands: Hands) -> None:
    whole = factories.chain()
    lead = hands("recall_lead")
    fields = typed(lot=whole.sieved.code, reason="Metal found", what_to_do="Do not drink it. Bring it back.", what_to_do_ja="飲まないでください。")
    assert "is fetched back; the page of each of its packs says so" in written(lead, BACK, fields)
    hold = Hold.objects.get()
    assert (hold.kind, hold.what_to_do) == ("recall", "Do not drink it. Bring it back.")


def test_what_a_person_should_do_is_said(hands: Hands) -> None:
    lot = factories.FreshLeaf()
    assert "Write a few words." in refused(hands("recall_lead"), BACK, typed(lot=lot.code, reason="Metal found", what_to_do=""))


def test_a_pack_stands_for_its_lot(hands: Hands) -> None:
    from tests.desk.test_dispatch import pack

    lot = factories.Packed()
    written(hands("quality"), STOP, typed(lot=pack(lot, 3), reason="A loose lid"))
    assert Hold.objects.get().lot == lot


def test_a_hold_is_released_with_its_ground(hands: Hands) -> None:
    hold = factories.Held()
    quality = hands("quality")
    assert "A smell of smoke" in page(quality.get(BOARD))
    url = f"/hold/{hold.pk}/release/"
    assert "On what ground" in page(quality.get(url))
    told = written(quality, url, typed(reason="Second tasting, nothing found"))
    assert "is released." in told
    assert "Nothing is stopped." in told


def test_a_hold_that_was_released_before(hands: Hands) -> None:
    hold = factories.Held()
    quality = hands("quality")
    url = f"/hold/{hold.pk}/release/"
    written(quality, url, typed(reason="Nothing found"))
    assert "was released before" in refused(quality, url, typed(reason="Nothing found"))
    assert quality.get("/hold/999/release/").status_code == 404


def test_a_stop_with_another_reason_is_another_act(hands: Hands) -> None:
    fields = typed(lot=factories.FreshLeaf().code, reason="Smells of diesel")
    clerk = hands("clerk")
    written(clerk, STOP, fields)
    assert "sent before with other content" in refused(clerk, STOP, {**fields, "reason": "Wet leaf"})


def test_sent_twice(hands: Hands) -> None:
    fields = typed(lot=factories.FreshLeaf().code, reason="Smells of diesel")
    assert "nothing was written twice" in sent_twice(hands("clerk"), STOP, fields)
    assert Hold.objects.count() == 1


def test_a_fetch_back_and_a_release_sent_twice(hands: Hands) -> None:
    lead, lot = hands("recall_lead"), factories.FreshLeaf()
    assert "nothing was written twice" in sent_twice(lead, BACK, typed(lot=lot.code, reason="Metal found", what_to_do="Bring it back."))
    assert "nothing was written twice" in sent_twice(lead, f"/hold/{Hold.objects.get().pk}/release/", typed(reason="It was a leaf vein"))
    assert Hold.objects.count() == 2


def test_the_disk_fails(hands: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    fields, clerk = typed(lot=factories.FreshLeaf().code, reason="Smells of diesel"), hands("clerk")
    broken_off(clerk, STOP, fields, monkeypatch)
    assert "Entry" in written(clerk, STOP, fields)


def test_few_queries(hands: Hands, django_assert_max_num_queries: object) -> None:
    quality = hands("quality")
    for _ in range(3):
        factories.Held()
    quality.get(BOARD)
    with django_assert_max_num_queries(12):  # type: ignore[operator]
        quality.get(BOARD)
