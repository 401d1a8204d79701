"""Orders at the desk: taken, open on the first page, served by scanning, with a slip that says everything a later trace asks for."""

from __future__ import annotations

import io
import re

import pytest
from django.http import HttpResponse
from django.test import Client
from pypdf import PdfReader

from lots.models import Consignment, SalesOrder
from tests import factories
from tests.desk.conftest import page as spaced
from tests.desk.conftest import refused, sent_twice, typed
from tests.desk.conftest import written as taken
from tests.record.selling import carton, codes, enter_units, ordered

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL, OUT = "/going-out/orders/", "/going-out/"


def close_up(text: str) -> str:
    """Codes stand in spans of their own: the blank before a point is none on the page."""
    return re.sub(r" ([.,:])", r"\1", re.sub(r"<[^>]+>", "", text))


def page(answer: HttpResponse) -> str:
    return close_up(spaced(answer))


def written(client: Client, url: str, fields: dict[str, str]) -> str:
    return close_up(taken(client, url, fields))


def wants(**other: str) -> dict[str, str]:
    return typed(**{"count_T30": "12", "ship_to": "B1", "wanted_on": "2026-12-01", "reference": "PO 77", **other})


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf)).pages).replace("\u00a0", " ").split())


def slip(client: Client, language: str = "en") -> str:
    step = Consignment.objects.order_by("-pk")[0].pk
    answer = client.get(f"{OUT}slip/{step}/", {"language": language})
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf"), page(answer)
    return text_of(answer.content)


def test_an_order_is_taken_and_stands_on_the_first_page(clerk: Client) -> None:
    told = written(clerk, URL, wants())
    order = SalesOrder.objects.get()
    printed = f"{order.code[:3]}-{order.code[3:]}"
    assert f"Order {printed}: 12 packs for Tea House East." in told
    assert f"{printed}, Tea House East. Still to go: 12 packs T30." in page(clerk.get("/"))
    assert "Nothing was ordered" in refused(clerk, URL, wants(count_T30=""))
    assert "nothing was written twice" in sent_twice(clerk, URL, wants())


def test_the_page_of_an_order_says_which_lots_may_serve_it_and_which_not(clerk: Client) -> None:
    soon, late = factories.Packed(maker_ref="K26-06"), factories.Packed(lots=[factories.Sieved()], maker_ref="K26-07")
    factories.Held(lot=late)
    order = ordered({"T30": 12})
    said = page(clerk.get(f"{URL}{order.code}/"))
    assert said.index("May serve it") < said.index("K26-06. 20 packs free.") < said.index("Left out") < said.index("K26-07. A smell of smoke.")
    assert f"?packs={order.code}" in clerk.get(f"{URL}{order.code}/").content.decode()
    assert clerk.get(f"{URL}{order.code}/label/")["Content-Type"] == "application/pdf"
    assert clerk.get(f"{URL}Z260000000/").status_code == 404
    assert soon


def test_scan_the_order_then_cases_and_packs(clerk: Client) -> None:
    enter_units()
    lot = factories.Packed(maker_ref="K26-06")
    case, order = carton(lot, 1), ordered({"T30": 6}, bill_to="B2")
    lines = "\n".join([order.code, case.code, *codes(lot, 9, 10)])
    said = clerk.post(f"{OUT}live/", typed(packs=lines)).content.decode()
    assert "6 packs so far." in said
    assert "for Tea House East: 6 packs T30 still to go." in said
    told = written(clerk, OUT, typed(packs=lines, document_no="D-17"))
    assert "6 packs for Tea House East." in told
    assert "Print the delivery slip" in told
    row = Consignment.objects.get()
    assert (row.order_id, row.bill_to.code) == (order.pk, "B2")
    assert "served whole before" in refused(clerk, OUT, typed(packs=f"{order.code}\n{codes(lot, 11)[0]}"))


def test_without_an_order_somebody_says_for_whom(clerk: Client) -> None:
    lot = factories.Packed()
    assert "Choose one." in refused(clerk, OUT, typed(packs=f"{lot.code} 2"))


def test_the_slip_has_every_item(clerk: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    factories.enter("party_contact", "B1-S", party="B1", use="ship to", address="3 Harbour Road", contact="0555 12")
    order = ordered({"T30": 6}, bill_to="B2", reference="PO 77")
    written(clerk, OUT, typed(
        packs=f"{order.code}\n{lot.code} 3-8", document_no="D-17", carrier="Valley carriers", carrier_contact="0123 45",
        ship_from="Store 2", least_c="2", most_c="8",
    ))
    said = slip(clerk)
    printed = f"{lot.code[:3]}-{lot.code[3:]}"
    for words in (
        printed, "K26-06", "6 tins of 30 g", "0.18 kg", "Powdered green tea, tin of 30 g", "Saemidori", "Tea House East, 3 Harbour Road, 0555 12",
        "Store 2, Small mill", "Date of shipping", "Source of the lot codes", "Delivery slip D-17", "PO 77", "Whisk and Bowl",
        "Valley carriers, 0123 45", "2.0 to 8.0 °C", "3–8", "Best before",
    ):
        assert words in said, words
    assert "ロット" in slip(clerk, "ja")


def test_organic_is_said_only_of_organic_leaf_with_the_control_body(clerk: Client) -> None:
    factories.enter("house", "HOUSE", name="Small mill", control_body="JP-BIO-999")
    organic = factories.chain(plot="P1")
    written(clerk, OUT, typed(packs=f"{organic.packed[0].code} 2", consignee="B1"))
    said = slip(clerk)
    assert "Powdered green tea, tin of 30 g, organic" in said
    assert "From organic farming. Control body: JP-BIO-999." in said
    other = factories.chain(plot="P2", job="J2")
    written(clerk, OUT, typed(packs=f"{other.packed[0].code} 2", consignee="B1"))
    assert "rganic" not in slip(clerk)


def test_a_delivery_that_was_taken_back_has_no_slip(clerk: Client) -> None:
    written(clerk, OUT, typed(packs=f"{factories.Packed().code} 2", consignee="B1"))
    step = Consignment.objects.get().pk
    factories.TakenBack(step=step)
    answer = clerk.get(f"{OUT}slip/{step}/")
    assert answer.status_code == 409
    assert "it did not happen" in page(answer)
    assert clerk.get(f"{OUT}slip/999999/").status_code == 404


def test_an_order_is_cancelled(clerk: Client) -> None:
    order = ordered({"T30": 12})
    assert "is cancelled" in written(clerk, f"{URL}cancel/", typed(order=order.code, why="The shop has closed"))
    assert "Cancelled." in page(clerk.get(f"{URL}{order.code}/"))
    assert "Ordered, and come back" not in page(clerk.get("/"))
    assert "was cancelled" in refused(clerk, f"{URL}cancel/", typed(order=order.code, why="Again"))
