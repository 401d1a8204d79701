"""What a recall reaches in a small mill, and what its papers say where the book knows little."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from lots.dossier.lot_dossier import LotPaper
from lots.dossier.recall_report import RecallReport
from lots.models import Lot
from lots.read.dossiers import lot_dossier
from lots.read.finding import find
from lots.read.recall_starts import at_lots, at_plot
from lots.read.recalling import recall
from lots.trade.lineage import Tier
from tests.factories import Cleaned, FreshLeaf, Packed, RefinedLeaf, Sieved, TakenBack, chain, found_small_mill, mill

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_mill() -> None:
    found_small_mill()


def packed(job: str, plot: str = "P1") -> Lot:
    from tests.factories import CrudeLeaf

    leaf = RefinedLeaf(lot=CrudeLeaf(lot=FreshLeaf(plot=plot)))
    return Packed(lots=[Sieved(lots=mill(leaf, job=job).tubs)])


def tiers_after(lot: Lot) -> dict[int, Tier]:
    return {s.fact.step: s.tier for s in recall(at_lots(find(lot.code))).scope.series}


def test_without_a_clean_down_the_next_job_may_have_touched() -> None:
    first, second = packed("J1"), packed("J2", "P2")
    assert tiers_after(first) == {first.step_id: Tier.CONTAINS, second.step_id: Tier.TOUCHED}
    assert tiers_after(second) == {second.step_id: Tier.CONTAINS}


def test_only_a_clean_down_of_every_machine_excludes_and_is_named_with_its_entry() -> None:
    first = packed("J1")
    for machine in ("SP1", "SIEVE1", "FILL1"):
        Cleaned(equipment=machine)
    second = packed("J2", "P2")
    assert tiers_after(first) == {first.step_id: Tier.CONTAINS, second.step_id: Tier.EXCLUDED}
    report = RecallReport(recall(at_lots(find(first.code))))
    why = next(row["why"] for row in report.tiers if row["tier"] == "excluded")
    assert why.startswith("FILL1 was opened and cleaned on")
    assert "(entry " in why
    assert report.pdf().startswith(b"%PDF")


def test_a_machine_that_was_wiped_but_not_opened_excludes_nothing() -> None:
    first = packed("J1")
    for machine in ("SP1", "SIEVE1", "FILL1"):
        Cleaned(equipment=machine, opened=False)
    second = packed("J2", "P2")
    assert tiers_after(first)[second.step_id] is Tier.TOUCHED


def test_leaf_that_was_never_packed_reaches_no_pack_but_what_is_here() -> None:
    leaf = RefinedLeaf()
    answer = recall(at_plot("P1"))
    assert answer.scope.series == ()
    assert leaf.code in {one.lot.code for one in answer.lots if one.book_mg > 0}


def test_a_consignment_that_was_taken_back_is_on_nobodys_list() -> None:
    story = chain()
    answer = recall(at_lots(find(story.packed[0].code)))
    assert set(answer.scope.exact) == {"B1"}
    TakenBack(step=story.sent.pk)
    again = recall(at_lots(find(story.packed[0].code)))
    assert (again.scope.exact, again.scope.may_have_received) == ({}, {})
    assert [q.dispatched_count for q in again.scope.series] == [0, 0, 0]


def test_a_harvest_that_was_taken_back_begins_nothing() -> None:
    leaf = FreshLeaf()
    TakenBack(step=leaf.step_id)
    assert at_plot("P1").steps == ()


def test_a_dossier_says_what_the_book_does_not_know() -> None:
    leaf = FreshLeaf()
    facts = lot_dossier([leaf])
    assert [(f.shade, f.treatments) for f in facts.fields] == [(None, ())]
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(LotPaper([leaf]).pdf())).pages).split())
    for words in ("Lantern Terrace", "no shading in the book", "No stage of it is judged", "No sample of this lot was kept"):
        assert words in text
