"""One entry of the journal: its words, its bytes, its place, its hash, and what it touches."""

from __future__ import annotations

import hashlib
import html
import re
from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from lots.models import JournalEntry, JournalHead, Lot, LotEntry
from tests import factories
from tests.desk.conftest import Hands, page

pytestmark = pytest.mark.django_db
#: What stands on every page takes six.
MOST = 22


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    with translation.override("en"):
        yield


def bytes_shown(text: str) -> bytes:
    """The canonical bytes as they stand on a page."""
    found = re.search(r'(?s)<pre class="bytes"[^>]*>(.*?)</pre>', text)
    assert found
    return html.unescape(found.group(1)).encode()


def test_an_entry_shows_its_own_bytes_and_their_hash(clerk: Client) -> None:
    lot = factories.FreshLeaf()
    seq = lot.step.entry_id
    text = clerk.get(f"/entry/{seq}/").content.decode()
    row = JournalEntry.objects.get(pk=seq)
    assert bytes_shown(text) == bytes(row.body)
    assert hashlib.sha256(b"\x00" + bytes_shown(text)).hexdigest() in text
    assert "The hash is that of the bytes below." in text


def test_an_entry_is_told_in_words_with_its_place_and_its_lots(clerk: Client) -> None:
    lot = factories.FreshLeaf()
    answer = clerk.get(f"/entry/{lot.step.entry_id}/")
    said, text = page(answer), answer.content.decode()
    size = JournalHead.objects.get().size
    assert f"entry {lot.step.entry_id} of {size}, counted from 0" in said
    assert f"Entry {lot.step.entry_id}" in said
    assert "It happened on " in said
    for touched in LotEntry.objects.filter(entry=lot.step.entry_id).select_related("lot"):
        assert f'href="/lot/{touched.lot.code}/"' in text


def test_bytes_that_do_not_fit_their_hash_are_called_out(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = factories.FreshLeaf()
    monkeypatch.setattr("lots.read.entries.leaf_hash", lambda _data: b"\x00" * 32)
    said = page(clerk.get(f"/entry/{lot.step.entry_id}/"))
    assert "The hash does not belong to these bytes." in said


def test_a_step_that_was_taken_back_and_its_reversal_point_at_each_other(clerk: Client) -> None:
    lot = factories.FreshLeaf()
    factories.TakenBack(step=lot.step_id, reason="It was another plot")
    last = JournalHead.objects.get().size - 1
    assert f'href="/entry/{last}/"' in clerk.get(f"/entry/{lot.step.entry_id}/").content.decode()
    after = clerk.get(f"/entry/{last}/")
    assert f'href="/entry/{lot.step.entry_id}/"' in after.content.decode()
    assert "Reason: It was another plot." in page(after)


def test_entries_follow_each_other_and_end(clerk: Client) -> None:
    size = JournalHead.objects.get().size
    first, last = (clerk.get(f"/entry/{seq}/").content.decode() for seq in (0, size - 1))
    assert ('rel="prev"' in first, 'rel="next"' in first) == (False, True)
    assert ('rel="prev"' in last, 'rel="next"' in last) == (True, False)
    assert clerk.get(f"/entry/{size}/").status_code == 404


def test_only_hands_are_offered_to_correct(hands: Hands) -> None:
    lot = factories.FreshLeaf()
    offered = {role: f'href="/corrections/{lot.step_id}/"' in hands(role).get(f"/entry/{lot.step.entry_id}/").content.decode()
               for role in ("clerk", "auditor")}
    assert offered == {"clerk": True, "auditor": False}


def test_an_entry_of_many_lots_asks_no_more(clerk: Client) -> None:
    milled = factories.mill(tub_count=6)
    sieved = factories.Sieved(lots=milled.tubs)
    few = Lot.objects.filter(material="fresh_leaf")[0].step.entry_id
    clerk.get(f"/entry/{few}/")
    counts = []
    for seq in (few, sieved.step.entry_id):
        with CaptureQueriesContext(connection) as seen:
            assert clerk.get(f"/entry/{seq}/").status_code == 200
        counts.append(len(seen))
    assert max(counts) <= MOST
    assert counts[1] <= counts[0] + 1
