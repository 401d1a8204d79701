"""Two people at two desks: the head of the journal is read first, under a lock, so nobody uses the same gram unwarned."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from lots.models import Hold, JournalEntry, JournalHead, Lot
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import dispatch, holding, milling, registers, sieving
from lots.record.acts import Act, Receipt
from lots.record.dispatch import Packs
from lots.record.errors import Questioned, Refused
from tests import factories as make
from tests.record.asking import REASON, book_mg
from tests.record.books import at_once, book_in, lay_file

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def path(tmp_path: Path, transactional_db: None) -> Iterator[Path | None]:
    """The small mill where two hands can reach it: in a file, or on the test server (then there is no path)."""
    if connection.vendor != "sqlite":
        make.found_small_mill()
        yield None
        return
    with book_in(lay_file(tmp_path / "book.sqlite3")) as file:
        make.found_small_mill()
        yield file


def load(leaf: Lot, pair: str, act: Act, kilograms: str = "5.000") -> Receipt:
    asked = {"pair": pair, "lot": leaf.code, "charge": make.kg(kilograms), "job": f"J-{pair}"}
    return milling.load(act, **asked, happened_at=make.BEGAN)


def kinds(answers: list[Any]) -> list[str]:
    return sorted(type(answer).__name__ for answer in answers)


def test_of_two_that_draw_the_same_gram_one_is_asked(path: Path | None) -> None:
    for turn in range(4):
        leaf = make.RefinedLeaf()
        acts = {pair: Act("A") for pair in ("SP1", "SP2")}
        answers = at_once([partial(load, leaf, pair, act) for pair, act in acts.items()], path)
        assert kinds(answers) == ["Questioned", "Receipt"], turn
        assert book_mg(leaf) == leaf.mass_mg - 5_000_000
        asked = next(pair for pair, answer in zip(acts, answers, strict=True) if isinstance(answer, Questioned))
        load(leaf, asked, Act("A", acts[asked].id, REASON))
        assert book_mg(leaf) == leaf.mass_mg - 10_000_000
        for pair in acts:
            milling.close(Act("A", reason=REASON), pair=pair, left_over=make.kg("4.900"), happened_at=make.next_moment())
    assert verify_book() == []


def test_one_act_sent_twice_at_once_is_written_once(path: Path | None) -> None:
    leaf, act, before = make.RefinedLeaf(), Act("A"), JournalHead.objects.get().size
    answers = at_once([partial(load, leaf, "SP1", act)] * 3, path)
    assert [type(a) for a in answers] == [Receipt] * 3
    assert sorted(a.repeated for a in answers) == [False, True, True]
    assert {a.seq for a in answers} == {before}
    assert book_mg(leaf) == leaf.mass_mg - 5_000_000
    assert verify_book() == []


def test_one_tub_is_sieved_by_one_of_two(path: Path | None) -> None:
    tubs = [tub.code for tub in make.mill().tubs]
    asked = {"lots": tubs, "screen": "SC150", "through": make.kg("1.757"), "oversize": make.kg("0.010"), "happened_at": make.next_moment()}
    answers = at_once([partial(sieving.sieve, Act("A"), **asked) for _ in range(2)], path)
    assert kinds(answers) == ["Receipt", "Refused"]
    assert verify_book() == []


def test_the_last_packs_go_to_one_of_two_buyers(path: Path | None) -> None:
    tins = make.Packed()
    send = [
        partial(dispatch.consign, Act("B"), consignee=buyer, packs=[Packs(tins.code, 12, 1)], happened_at=make.next_moment())
        for buyer in ("B1", "B2")
    ]
    answers = at_once(send, path)
    assert kinds(answers) == ["Receipt", "Refused"]
    assert series_state(tins.series).here_count == 8
    assert verify_book() == []


def test_a_hold_and_a_consignment_at_once_leave_no_pack_that_slipped_by(path: Path | None) -> None:
    for _ in range(3):
        tins = make.Packed(lots=[make.Sieved(lots=make.mill().tubs)])
        stop = partial(holding.hold, Act("C"), lot=tins.code, reason="Smoke", happened_at=make.next_moment())
        send = partial(dispatch.consign, Act("B"), consignee="B1", packs=[Packs(tins.code, 5, 1)], happened_at=make.next_moment())
        stopped, sent = at_once([stop, send], path)
        hold = Hold.objects.get(lot=tins)
        assert isinstance(stopped, Receipt)
        assert isinstance(sent, Refused) or sent.seq < hold.entry_id
    assert verify_book() == []


def test_many_hands_make_one_journal_without_gaps(path: Path | None) -> None:
    def enter_some(desk: int) -> list[Receipt]:
        return [
            registers.enter(Act("F"), table="cultivar", code=f"D{desk}-{n}", fields={"name": f"Cultivar {desk} {n}"}) for n in range(15)
        ]

    before = JournalHead.objects.get().size
    answers = at_once([partial(enter_some, desk) for desk in range(4)], path)
    seqs = sorted(receipt.seq for each in answers for receipt in each)
    assert seqs == list(range(before, before + 60))
    assert JournalEntry.objects.count() == before + 60
    assert verify_book() == []
