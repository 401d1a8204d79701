"""The book of one lot: life, corrections, holds, where it came from and what was made of it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lots.models import Flow, Lot
from lots.read.lot_book import LotBook, lot_book
from lots.record import correcting, holding
from lots.record.acts import Act
from lots.record.lines import Weight
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_mill() -> None:
    factories.found_small_mill()


def book_of(lot: Lot) -> LotBook:
    return lot_book(Lot.objects.select_related("step", "stock").get(pk=lot.pk))


def corrected(lot: Lot, by_mg: int, why: str = "the ticket says so") -> None:
    line = Flow.objects.get(step=lot.step, lot=lot)
    stands = sum(Flow.objects.filter(lot=lot, kind="out").values_list("mass_mg", flat=True))
    correcting.adjust(Act("C", reason=why), step=lot.step_id, masses_mg={line.pk: stands + by_mg})


def test_charges_of_one_job_are_one_line() -> None:
    leaf = factories.RefinedLeaf()
    factories.mill(leaf, tub_count=3)
    book = book_of(leaf)
    made, charged = book.life
    assert (made.in_mg, made.stage, made.badge) == (leaf.mass_mg, "refining", "A")
    assert (charged.count, charged.out_mg, charged.job) == (3, 3 * 880_000, "J1")
    assert charged.first_entry < charged.last_entry
    assert book.book_mg == charged.after_mg == leaf.mass_mg - 3 * 880_000
    assert (book.in_mg, book.out_mg) == (leaf.mass_mg, 3 * 880_000)


def test_a_correction_strikes_the_old_figure_and_shows_the_one_that_stands() -> None:
    leaf = factories.RefinedLeaf()
    corrected(leaf, 50_000)
    book = book_of(leaf)
    first, second = book.life
    assert (first.in_mg, first.struck) == (leaf.mass_mg, True)
    assert (second.in_mg, second.struck, second.stage) == (leaf.mass_mg + 50_000, False, "correcting")
    assert second.corrects_entry == first.first_entry
    assert second.reason == "the ticket says so"
    assert book.in_mg == book.book_mg == leaf.mass_mg + 50_000
    assert book.corrected_at == second.at


def test_a_second_correction_strikes_the_first() -> None:
    leaf = factories.RefinedLeaf()
    corrected(leaf, 50_000)
    corrected(leaf, -70_000, "read once more")
    book = book_of(leaf)
    assert [(line.in_mg, line.struck) for line in book.life] == [
        (leaf.mass_mg, True), (leaf.mass_mg - 20_000, True), (leaf.mass_mg - 20_000, False)]
    assert book.in_mg == book.book_mg == leaf.mass_mg - 20_000


def test_what_did_not_happen_says_so() -> None:
    fresh = factories.FreshLeaf()
    factories.TakenBack(step=fresh.step_id)
    book = book_of(fresh)
    assert book.taken_back
    assert (book.book_mg, book.in_mg) == (0, 0)
    assert [(line.part, line.struck) for line in book.life] == [("intake", True), ("reverse", False)]


def test_a_count_tells_what_was_counted_and_the_difference() -> None:
    leaf = factories.RefinedLeaf()
    factories.Counted(lot=leaf, counted=Weight(leaf.mass_mg + 10_000, "S2"))
    line = book_of(leaf).life[-1]
    assert (line.stage, line.counted_mg, line.difference_mg, line.after_mg) == (
        "counting", leaf.mass_mg + 10_000, 10_000, leaf.mass_mg + 10_000)


def test_holds_that_stand_and_holds_that_ended() -> None:
    leaf = factories.RefinedLeaf()
    hold = factories.Held(lot=leaf)
    tub = factories.mill(leaf).tubs[0]
    assert [(h.lot.code, h.ended_at) for h in book_of(tub).standing_holds] == [(leaf.code, None)]
    holding.release(Act("C"), hold=hold.pk, reason="smelled again, nothing")
    book = book_of(leaf)
    assert book.standing_holds == ()
    assert [h.ended_reason for h in book.holds] == ["smelled again, nothing"]


def test_where_it_came_from_and_what_was_made_of_it() -> None:
    story = factories.chain()
    book = book_of(story.refined)
    assert [(o.plot, o.share_frac) for o in book.origins] == [("P1", 1.0)]
    assert [s.stage for s in book.before] == ["harvest", "drying"]
    assert [s.stage for s in book.after] == ["milling", "sieving", "packing"]
    assert [n.stage for n in book.balances] == ["refining"]


def test_a_lot_of_packs_knows_its_series_and_consignees() -> None:
    story = factories.chain(sent_count=6)
    book = book_of(story.packed[0])
    assert book.series is not None
    assert (book.series.made_count, book.series.here_count) == (20, 14)
    assert [(s.consignee, s.first_no, s.last_no) for s in book.sent] == [("B1", 1, 6)]


def test_as_many_questions_for_a_lot_of_many_jobs() -> None:
    leaf = factories.RefinedLeaf()
    factories.Sieved(lots=factories.mill(leaf, job="J0").tubs)
    with CaptureQueriesContext(connection) as few:
        book_of(leaf)
    for number in range(3):
        factories.Sieved(lots=factories.mill(leaf, job=f"J{number + 1}").tubs)
    with CaptureQueriesContext(connection) as many:
        assert len(book_of(leaf).after) == 8
    assert len(many) <= len(few)
