"""Going out: packs leave under a delivery note, or are refused."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.codes.packs import pack_code, print_form
from lots.models import Consignment, Lot, PackedUnit, PackMove, PackSecret
from lots.read.series import series_state
from tests import factories
from tests.desk.conftest import broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/going-out/"


def note(packs: str, **other: str) -> dict[str, str]:
    return typed(**{"packs": packs, "consignee": "B1", "document_no": "D-17", "carrier": "Valley carriers", **other})


def pack(lot: Lot, number: int) -> str:
    unit = PackedUnit.objects.get(lot=lot)
    return pack_code(unit.run_no, number, bytes(PackSecret.objects.get(run_no=unit.run_no).secret))


def ranges() -> list[tuple[int | None, int]]:
    return list(PackMove.objects.order_by("pk").values_list("first_no", "pack_count"))


def test_packs_that_were_scanned_become_ranges(hands: object) -> None:
    lot = factories.Packed()
    packing = hands("packing")  # type: ignore[operator]
    codes = [pack(lot, number) for number in (3, 1, 2, 7)]
    told = written(packing, URL, note("\n".join(codes)))
    assert ranges() == [(1, 3), (7, 1)]
    assert (Consignment.objects.get().consignee.code, Consignment.objects.get().document_no) == ("B1", "D-17")
    assert "4 packs for Tea House East." in told


def test_the_address_on_a_pack_is_a_pack(clerk: Client) -> None:
    lot = factories.Packed()
    written(clerk, URL, note(f"https://trace.example/p/{pack(lot, 4)}\n{print_form(pack(lot, 5))}"))
    assert ranges() == [(4, 2)]


def test_the_label_of_a_lot_with_a_count(clerk: Client) -> None:
    lot = factories.Packed()
    written(clerk, URL, note(f"{lot.code} 6"))
    assert ranges() == [(None, 6)]


def test_the_label_of_a_lot_with_numbers(clerk: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    written(clerk, URL, note("k26-06 3-8"))
    assert ranges() == [(3, 6)]
    assert series_state(PackedUnit.objects.get(lot=lot)).here_count == 14


def test_a_label_without_a_count_asks_how_many(clerk: Client) -> None:
    lot = factories.Packed()
    assert "How many packs of" in refused(clerk, URL, note(lot.code))


def test_more_than_are_here(clerk: Client) -> None:
    lot = factories.Packed()
    assert "21 packs of" in refused(clerk, URL, note(f"{lot.code} 21"))


def test_a_number_that_has_gone(clerk: Client) -> None:
    lot = factories.Packed()
    written(clerk, URL, note(pack(lot, 4)))
    assert "number 4 has gone before" in refused(clerk, URL, note(f"{lot.code} 3-5"))


def test_held_leaf_does_not_leave(clerk: Client) -> None:
    whole = factories.chain(sent_count=1)
    factories.Held(lot=whole.crude, reason="A smell of smoke")
    said = refused(clerk, URL, note(f"{whole.packed[0].code} 2"))
    assert "cannot go out" in said
    assert "A smell of smoke" in said


def test_kept_samples_stay(clerk: Client) -> None:
    whole = factories.chain(sent_count=1)
    assert "are kept samples. They stay here." in refused(clerk, URL, note(f"{whole.kept.code} 1"))


def test_an_invented_code(clerk: Client) -> None:
    factories.Packed()
    assert "No pack" in refused(clerk, URL, note(pack_code(1, 4, b"x" * 32)))


def test_a_reversed_range(clerk: Client) -> None:
    lot = factories.Packed()
    assert "the last number comes before the first" in refused(clerk, URL, note(f"{lot.code} 8-3"))


def test_a_consignee_is_chosen(clerk: Client) -> None:
    lot = factories.Packed()
    assert "Choose one." in refused(clerk, URL, note(f"{lot.code} 2", consignee=""))


def test_while_scanning_the_count_so_far(clerk: Client) -> None:
    lot, before = factories.Packed(), entries()
    said = clerk.post(f"{URL}live/", note(f"{pack(lot, 1)}\n{pack(lot, 2)}")).content.decode()
    assert "2 packs so far." in said
    assert "20 of 20 packs are here." in said
    assert entries() == before


def test_the_series_in_the_house_are_one_press_away(clerk: Client) -> None:
    lot = factories.Packed()
    assert "20 packs here, best before" in page(clerk.get(URL))
    assert f"?packs={lot.code}" in clerk.get(URL).content.decode()


def test_a_consignment_sent_twice_leaves_once(clerk: Client) -> None:
    lot = factories.Packed()
    assert "nothing was written twice" in sent_twice(clerk, URL, note(f"{lot.code} 6", recipient="Ms Ito"))
    assert ranges() == [(None, 6)]


def test_the_disk_fails_and_nothing_leaves(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = note(f"{factories.Packed().code} 6")
    broken_off(clerk, URL, fields, monkeypatch)
    assert ranges() == []
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.chain()
    clerk.get(URL)
    with django_assert_max_num_queries(18):  # type: ignore[operator]
        clerk.get(URL)
