"""A round of parcels from a list, all or none; a recall reaches the subscribers until their contact is forgotten."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from lots.dossier.delivery_slip import DeliverySlip
from lots.models import ActKey, Consignment, Erasure, Lot, PackMove, PrivateValue
from lots.read.delivery import delivery
from lots.read.finding import find
from lots.read.recall_starts import at_lots
from lots.read.recalling import recall
from tests import factories
from tests.desk.conftest import broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL, FORGET = "/going-out/round/", "/going-out/forget/"
ROWS = (
    'Ito Aya,"3 Harbour Road, Kita",aya@tea.example,t30,2', "Mori Jun,9 Hill Street,jun@tea.example,T30,1", "Sato Ken,1 Mill Lane,,B100,1",
)


def sent(*rows: str, **other: str) -> dict[str, str]:
    return typed(**{"parcels": "\n".join(rows), "consignee": "B1", "document_no": "R-12", "carrier": "Valley carriers", **other})


def called(lot: Lot) -> list[tuple[str, tuple[str, ...]]]:
    return [(one.name, one.contact) for one in recall(at_lots(find(lot.code))).consignees.values()]


def test_a_round_is_one_act_with_a_range_of_packs_for_each_parcel(clerk: Client) -> None:
    factories.Packed()
    assert "3 parcels are sent." in written(clerk, URL, sent("name,address,mail,product,count", *ROWS))
    assert list(PackMove.objects.order_by("pk").values_list("unit__product__code", "first_no", "last_no")) == [
        ("T30", 1, 2), ("T30", 3, 3), ("B100", 21, 21)]
    assert Consignment.objects.filter(step__part="parcel", document_no="R-12").count() == 3
    rows = list(Consignment.objects.order_by("pk"))
    assert len({row.recipient for row in rows}) == 3
    assert clerk.get(f"/going-out/slip/{rows[0].pk}/")["Content-Type"] == "application/pdf"
    assert DeliverySlip(delivery(rows[0].pk)).to_words == "Ito Aya, 3 Harbour Road, Kita, aya@tea.example"


def test_every_faulty_row_is_named_and_nothing_goes(clerk: Client) -> None:
    factories.Packed()
    said = refused(clerk, URL, sent(ROWS[0], "Kato Rei,,r@tea.example,T30,1", "Abe Yu,5 Quay,y@tea.example,T99,1", "Oda Mei,6 Quay,,T30,0",
                                    "Ueda Rin,7 Quay,,T30,400"))
    for words in ("Row 2 (Kato Rei): no address", "Row 3 (Abe Yu): no product T99", "Row 4 (Oda Mei): a count of at least one",
                  "Row 5 (Ueda Rin): not enough packs of T30"):
        assert words in said, words
    assert "Row 1" not in said
    assert PackMove.objects.count() == 0
    assert "Rows 2 have not five columns" in refused(clerk, URL, sent(ROWS[0], "Kato Rei,5 Quay"))


def test_a_list_from_a_file_is_shown_before_it_goes(clerk: Client) -> None:
    factories.Packed()
    for coding in ("utf-8-sig", "cp932"):
        file = SimpleUploadedFile("round.csv", "氏名\t住所\nIto 彩\t港 3".encode(coding))
        answer = clerk.post(URL, {"list_file": file})
        assert "Read from round.csv." in page(answer)
        assert "Ito 彩\t港 3" in answer.content.decode()
    assert Consignment.objects.count() == 0


def test_a_recall_reaches_subscribers_until_they_are_forgotten(hands: object) -> None:
    lot, clerk, kei = factories.Packed(), hands("clerk"), hands("administrator")  # type: ignore[operator]
    written(clerk, URL, sent(*ROWS[:2]))
    assert called(lot) == [("Ito Aya", ("aya@tea.example", "3 Harbour Road, Kita")), ("Mori Jun", ("jun@tea.example", "9 Hill Street"))]
    assert "Ito Aya" in page(kei.get("/papers/recall/", {"lot": lot.code, "kind": "drill", "case": "1"}))
    assert clerk.get(FORGET).status_code == 403
    assert "At least three signs" in page(kei.get(FORGET, {"who": "Ay"}))
    answer = kei.get(FORGET, {"who": "Ito Aya"})
    assert "Ito Aya, 3 Harbour Road, Kita, aya@tea.example" in page(answer)
    value = PrivateValue.objects.get(value__contains="Ito Aya").pk
    assert f'value="{value}"' in answer.content.decode()
    written(kei, f"{FORGET}?who=Ito+Aya", typed(values=value, why="Asked by letter of 2 October"))
    assert Erasure.objects.get().commitment == value
    assert ActKey.objects.filter(fingerprint="").count() == 1
    assert called(lot) == [("", ()), ("Mori Jun", ("jun@tea.example", "9 Hill Street"))]
    assert "Nothing with this word" in page(kei.get(FORGET, {"who": "Ito Aya"}))
    assert "not in the book any more" in refused(kei, FORGET, typed(values=value, why="Again"))
    assert "Look for the person first." in refused(kei, FORGET, typed(values="", why="Again"))


def test_a_round_sent_twice_goes_once(clerk: Client) -> None:
    factories.Packed()
    assert "nothing was written twice" in sent_twice(clerk, URL, sent(*ROWS))
    assert Consignment.objects.count() == 3


def test_the_disk_fails_and_no_parcel_goes(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    factories.Packed()
    fields = sent(*ROWS)
    broken_off(clerk, URL, fields, monkeypatch)
    assert Consignment.objects.count() == 0
    assert "Entry" in written(clerk, URL, fields)
