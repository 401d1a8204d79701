"""Returns at the desk: packs are taken back and wait; quality says what becomes of them; nobody else may."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Lot, PackReturn, ReturnFate
from lots.record import dispatch
from lots.record.acts import Act
from lots.record.dispatch import Packs
from tests import factories
from tests.desk.conftest import page, refused, sent_twice, typed, written
from tests.record.selling import codes

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/going-out/returns/"


def tins() -> Lot:
    """Twenty tins, of which six were sent."""
    lot = factories.Packed(maker_ref="K26-06")
    dispatch.consign(Act("B"), consignee="B1", packs=[Packs(lot.code, 6, 1)], document_no="D-9", happened_at=factories.next_moment())
    return lot


def came(packs: str, **other: str) -> dict[str, str]:
    return typed(**{"packs": packs, "why": "Ordered twice", "state": "unopened", "fate": "held", **other})


def test_packs_come_back_wait_and_quality_lets_them_in(hands: object) -> None:
    lot, packer, quality = tins(), hands("packing"), hands("quality")  # type: ignore[operator]
    told = written(packer, URL, came("\n".join(codes(lot, 2, 3))))
    assert "2 packs came back and wait for quality." in told
    assert "2 packs from Tea House East." in told
    assert "Say what becomes of them" not in told
    assert "1 return waits for the word of quality." in page(packer.get("/"))
    step = PackReturn.objects.get().pk
    assert packer.get(f"{URL}{step}/").status_code == 403
    assert "2 packs from Tea House East." in page(quality.get(f"{URL}{step}/"))
    fields = typed(fate="in stock", why="Seals whole, kept cool")
    assert "They are in stock again." in written(quality, f"{URL}{step}/", fields)
    assert quality.get(f"{URL}{step}/").status_code == 404
    assert "was said before" in refused(quality, f"{URL}{step}/", typed(fate="in stock", why="Again"))


def test_they_are_destroyed_before_a_witness(hands: object) -> None:
    lot, packer = tins(), hands("packing")  # type: ignore[operator]
    said = refused(packer, URL, came("K26-06 1-2", fate="destroyed"))
    assert "Packs are destroyed before a witness, not alone." in said
    assert "came back and were destroyed" in written(packer, URL, came("K26-06 1-2", fate="destroyed", witness="C", evidence="Picture 12"))
    assert ReturnFate.objects.get().witness.code == "C"
    assert lot


def test_what_has_not_left_does_not_come_back(clerk: Client) -> None:
    lot = tins()
    assert "has not left by the book" in refused(clerk, URL, came(codes(lot, 9)[0]))
    assert "1 pack so far." in page(clerk.post(f"{URL}live/", came(codes(lot, 1)[0])))


def test_a_return_sent_twice_comes_once(clerk: Client) -> None:
    lot = tins()
    assert "nothing was written twice" in sent_twice(clerk, URL, came(codes(lot, 1)[0], sender="The tea master"))
    assert PackReturn.objects.count() == 1
