"""Kept samples at the desk: place, round, disposal."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.codes.packs import pack_code
from lots.models import PackedUnit, PackSecret, SampleDisposal, SampleRound
from tests.desk.conftest import Hands, asked, broken_off, page, refused, sent_twice, typed, written
from tests.finishing import Disposed, kept_lot

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/tins-and-bags/kept-samples/"


def codes(lot_code: str) -> list[str]:
    unit = PackedUnit.objects.get(lot__code=lot_code)
    secret = bytes(PackSecret.objects.get(pk=unit.run_no).secret)
    return [pack_code(unit.run_no, number, secret) for number in range(unit.first_no, unit.last_no + 1)]


def test_a_place_with_the_day_that_the_rule_gives(clerk: Client) -> None:
    lot = kept_lot()
    assert "No place is written down, 2 samples" in page(clerk.get(URL))
    told = written(clerk, f"{URL}place/", typed(lot=lot.code, place="Shelf 4"))
    assert "the samples stand at Shelf 4 and stay until" in told
    assert "At Shelf 4, 2 samples" in told


def test_a_round_pack_by_pack_names_what_is_missing_at_its_end(clerk: Client) -> None:
    first, second = kept_lot(), kept_lot()
    scans = "\n".join([codes(first.code)[0], second.code])
    told = written(clerk, f"{URL}round/", typed(seen=scans))
    assert "3 of 4 samples met. Missing: 1 sample of" in told
    assert "None is due for disposal." in told
    assert SampleRound.objects.get().seen_count == 3
    assert "The last round missed 1 sample." in page(clerk.get(URL))


def test_while_scanning_the_page_counts_lines_and_says_nothing_of_what_should_stand_there(clerk: Client) -> None:
    lot = kept_lot()
    said = page(clerk.post(f"{URL}round/live/", typed(seen=f"{codes(lot.code)[0]}\nnothing")))
    assert "2 lines:" in clerk.post(f"{URL}round/live/", typed(seen=f"{codes(lot.code)[0]}\nnothing")).content.decode()
    assert "expected" not in said


def test_disposal_before_a_witness(hands: Hands) -> None:
    quality, lot = hands("quality"), kept_lot()
    fields = typed(lot=lot.code, pack_count="1", how="composted", witness="A")
    answer = quality.post(f"{URL}disposal/", fields)
    assert "must stay until" in page(answer)
    told = written(quality, f"{URL}disposal/", {**fields, **asked(answer), "act_reason": "The box was crushed"})
    assert "1 sample of" in told
    assert SampleDisposal.objects.get().witness.code == "A"
    assert "Mio Mori" not in page(quality.get(f"{URL}disposal/"))


def test_a_packing_hand_walks_rounds_and_does_not_dispose(hands: Hands) -> None:
    kept_lot()
    packing = hands("packing")
    assert packing.get(f"{URL}disposal/").status_code == 403
    assert "Walk a round" in page(packing.get(URL))
    assert "Dispose of samples" not in page(packing.get(URL))


def test_an_unknown_sample(clerk: Client) -> None:
    assert "No lot ABC is in the book" in refused(clerk, f"{URL}place/", typed(lot="ABC", place="Shelf 4"))


def test_sent_twice_and_broken_off(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = typed(seen=kept_lot().code)
    broken_off(clerk, f"{URL}round/", fields, monkeypatch)
    assert "nothing was written twice" in sent_twice(clerk, f"{URL}round/", fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    lot = kept_lot()
    Disposed(lot=lot)
    kept_lot()
    with django_assert_max_num_queries(26):  # type: ignore[operator]
        clerk.get(URL)
