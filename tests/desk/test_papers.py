"""Papers: what can be printed, for whom, and of which lot."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.codes.packs import pack_code
from lots.models import PackedUnit, PackSecret
from tests import factories
from tests.desk.conftest import Hands, page

pytestmark = pytest.mark.django_db
#: What stands on every page takes six.
MOST = 16


def test_every_kind_of_paper_is_named_with_its_files(hands: Hands) -> None:
    answer = hands("quality").get("/papers/")
    text, said = answer.content.decode(), page(answer)
    for address in ("/papers/dossier/", "/papers/recall/", "/papers/labels/", "/balance.csv", "/lots.csv"):
        assert f'href="{address}"' in text
    assert "PDF, XLSX, CSV" in said


def test_nobody_is_sent_to_a_paper_that_does_not_open(hands: Hands) -> None:
    shown = {role: hands(role).get("/papers/").content.decode() for role in ("packing", "auditor")}
    assert {role: ("/papers/recall/" in text, "/papers/labels/" in text) for role, text in shown.items()} == {
        "packing": (False, True), "auditor": (True, False),
    }


def test_what_was_packed_last_leads_to_its_dossier(clerk: Client) -> None:
    made = factories.chain()
    text = clerk.get("/papers/").content.decode()
    assert f'href="/papers/dossier/?lot={made.packed[0].code}"' in text


def test_a_scanned_lot_or_pack_leads_to_the_papers_of_its_lot(clerk: Client) -> None:
    made = factories.chain()
    lot = made.packed[0]
    unit = PackedUnit.objects.get(lot=lot)
    code = pack_code(unit.run_no, unit.first_no, bytes(PackSecret.objects.get(run_no=unit.run_no).secret))
    for text in (lot.code, code):
        answer = clerk.get("/papers/", {"code": text})
        assert (answer.status_code, answer.url) == (302, f"/lot/{lot.code}/#papers")
    assert 'id="papers"' in clerk.get(f"/lot/{lot.code}/").content.decode()


def test_what_nobody_knows_stays_in_the_line(clerk: Client) -> None:
    answer = clerk.get("/papers/", {"code": "K99-77"})
    assert 'value="K99-77"' in answer.content.decode()
    assert "No lot and no pack is called K99-77." in page(answer)


def test_the_page_asks_no_more_when_more_was_packed(clerk: Client) -> None:
    counts = []
    for job in ("J1", "J2"):
        factories.chain(job=job)
        factories.Cleaned()
        clerk.get("/papers/")
        with CaptureQueriesContext(connection) as seen:
            clerk.get("/papers/")
        counts.append(len(seen))
    assert counts[0] == counts[1]
    assert counts[1] <= MOST
