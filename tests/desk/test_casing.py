"""Cases at the desk: twelve scans and done; a wrong pack has a cross and a sentence; the label is read back; the trace knows the case."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from django.http import HttpResponse
from django.test import Client
from PIL import Image

from lots.models import CasePart, SalesCase
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, refused, sent_twice, typed
from tests.desk.conftest import page as spaced
from tests.desk.conftest import written as taken
from tests.record.selling import codes, enter_units

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/tins-and-bags/case/"


def close_up(text: str) -> str:
    """Codes stand in spans of their own: the blank before a point is none on the page."""
    return re.sub(r" ([.,:])", r"\1", re.sub(r"<[^>]+>", "", text))


def page(answer: HttpResponse) -> str:
    return close_up(spaced(answer))


def written(client: Client, url: str, fields: dict[str, str]) -> str:
    return close_up(taken(client, url, fields))


@pytest.fixture
def packer(hands: object) -> Client:
    enter_units()
    factories.enter("sales_unit", "CASE12", name="Case of 12 tins", product="T30", held_count=12)
    return hands("packing")  # type: ignore[operator]


def scans(*lines: str, **other: str) -> dict[str, str]:
    return typed(**{"scanned": "\n".join(lines), "sales_unit": "CASE12", **other})


def test_twelve_scans_and_done(packer: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    told = written(packer, URL, scans(*codes(lot, *range(1, 13))))
    case = SalesCase.objects.get()
    assert f"Case {case.code[:3]}-{case.code[3:]} is closed: 12 packs of K26-06." in told
    assert "Cases in the house" in told
    assert f"Case {case.code[:3]}-{case.code[3:]} is closed: 12 packs of K26-06." in page(packer.get("/"))
    assert re.search(r'value="CASE12"[^>]* checked', packer.get(URL).content.decode())


def test_while_scanning_a_wrong_pack_has_a_cross_and_a_sentence(packer: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    other, before = factories.Packed(lots=[factories.Sieved()], maker_ref="K26-07"), entries()
    good = packer.post(f"{URL}live/", scans(*codes(lot, 1, 2))).content.decode()
    assert "2 of 12 packs, all of lot K26-06." in close_up(good)
    bad = packer.post(f"{URL}live/", scans(*codes(lot, 1, 2), *codes(other, 3))).content.decode()
    assert "<svg" in bad
    assert "Pack 3 is of lot K26-07; this case holds lot K26-06." in bad
    assert entries() == before
    assert "Pack 3 is of lot K26-07" in refused(packer, URL, scans(*codes(lot, 1, 2), *codes(other, 3)))


def test_a_short_case_is_asked_about(packer: Client) -> None:
    lot = factories.Packed()
    fields = scans(*codes(lot, 1, 2, 3))
    answer = packer.post(URL, fields)
    assert "holds 12 packs and 3 are in" in page(answer)
    written(packer, URL, fields | asked(answer) | {"act_reason": "The last case of the lot"})


def test_by_count_from_one_lot(packer: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    written(packer, URL, scans("K26-06 12"))
    assert CasePart.objects.get().first_no is None
    assert "not by both" in refused(packer, URL, scans("K26-06 2", *codes(lot, 3)))


def test_smaller_cases_go_into_a_larger_one(packer: Client) -> None:
    lot = factories.Packed()
    written(packer, URL, scans(*codes(lot, 1, 2, 3, 4), sales_unit="CT4"))
    written(packer, URL, scans(*codes(lot, 5, 6, 7, 8), sales_unit="CT4"))
    written(packer, URL, scans(*SalesCase.objects.values_list("code", flat=True), sales_unit="CASE8"))
    assert SalesCase.objects.order_by("-pk")[0].pack_count == 8


def test_a_case_is_opened_again(packer: Client) -> None:
    written(packer, URL, scans(*codes(factories.Packed(), *range(1, 13))))
    code = SalesCase.objects.get().code
    fields = typed(case=code, why="A tin was dented")
    assert "12 packs of" in packer.post(f"{URL}open/live/", fields).content.decode()
    assert "is open" in written(packer, f"{URL}open/", fields)
    assert "was opened again" in refused(packer, f"{URL}open/", typed(case=code, why="Again"))


def test_the_trace_of_a_pack_says_in_which_case_it_lies(packer: Client) -> None:
    lot = factories.Packed(maker_ref="K26-06")
    written(packer, URL, scans(*codes(lot, *range(1, 13))))
    code = SalesCase.objects.get().code
    printed = f"{code[:3]}-{code[3:]}"
    assert f"It lies in case {printed}." in page(packer.get("/trace/", {"code": codes(lot, 7)[0]}))
    assert "It lies in case" not in page(packer.get("/trace/", {"code": codes(lot, 13)[0]}))
    assert f"Case {printed}: it holds packs of lot K26-06." in page(packer.get("/trace/", {"code": printed}))
    assert printed not in page(Client().get(f"/p/{codes(lot, 7)[0]}"))


@pytest.mark.parametrize("language", ["en", "ja"])
def test_the_label_of_a_case_is_read_back(packer: Client, tmp_path: Path, language: str) -> None:
    written(packer, URL, scans(*codes(factories.Packed(), *range(1, 13))))
    code = SalesCase.objects.get().code
    answer = packer.get(f"{URL}{code}/label/", {"language": language})
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    (tmp_path / "a.pdf").write_bytes(answer.content)
    subprocess.run(["pdftoppm", "-r", "203", "-gray", "-singlefile", "a.pdf", "a"], cwd=tmp_path, check=True)
    assert [found.text for found in zxingcpp.read_barcodes(Image.open(tmp_path / "a.pgm"))] == [code]
    assert packer.get(f"{URL}N260000000/label/").status_code == 404


def test_a_case_sent_twice_is_closed_once(packer: Client) -> None:
    assert "nothing was written twice" in sent_twice(packer, URL, scans(*codes(factories.Packed(), *range(1, 13))))
    assert SalesCase.objects.count() == 1


def test_the_disk_fails_and_no_case_is_closed(packer: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = scans(*codes(factories.Packed(), *range(1, 13)))
    broken_off(packer, URL, fields, monkeypatch)
    assert SalesCase.objects.count() == 0
    assert "Entry" in written(packer, URL, fields)
