"""The dossier of a lot: chapters, eyes, both languages, drawings, and nothing hidden."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable

import pytest
from django.utils import translation
from pypdf import PdfReader

from lots.dossier.claims import Claims
from lots.dossier.dossier_balances import balance_rows, headline
from lots.dossier.dossier_contacts import contact_rows
from lots.dossier.dossier_fields import Fields
from lots.dossier.eyes import Eyes, Reader
from lots.dossier.lineage import as_drawn, lineage_sheet, without_ovens
from lots.dossier.lot_dossier import LotPaper
from lots.journal.tree import leaf_hash
from lots.models import FieldPlot, Flow, JournalEntry, LotEntry, Step
from lots.read.dossiers import LotDossier, lot_dossier
from lots.read.finding import find
from lots.read.origins import OriginShare
from lots.record import correcting, holding
from lots.record.acts import Act
from lots.trade.lineage import Tier
from lots.trade.weighing import Verdict

CHAPTERS = (
    "What it is", "What the book supports of its label", "1 Where the leaf grew", "2 What was put on the fields", "3 What was done with it",
    "4 Does it add up", "5 Laboratory", "6 Words of the label, and their ground", "7 Certificates", "8 Who had it when", "9 Kept samples",
    "10 Corrections, questions, holds", "11 Where from, where to", "12 How this can be checked", "13 Cautions",
)


def facts_of(name: str) -> LotDossier:
    return lot_dossier(find(name).lots)


def eyes_for(facts: LotDossier, reader: Reader = Reader.BUYER) -> Eyes:
    return Eyes(reader, facts)


def faces_of(pdf: bytes) -> set[str]:
    return {
        str(font.get_object()["/BaseFont"]).partition("+")[2]
        for page in PdfReader(io.BytesIO(pdf)).pages
        for font in page["/Resources"].get_object()["/Font"].get_object().values()  # type: ignore[index,union-attr]
    }


def held_by_all(words: Iterable[str], text: str) -> list[str]:
    return [each for each in words if each not in text]


def test_every_chapter_stands_in_the_paper_with_its_facts(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    pdf = LotPaper(find("K26-06").lots).pdf()
    text = read_pdf(pdf)
    facts = (
        "948 tins of 30 g", "109 bags of 100 g", "8 tins of 30 g (kept samples)", "P5 Long Mist", "Okuyutaka", "Kawasemi household",
        "shaded 23 days from 2026-04-22", "2026-05-15 (Fri)", "Stop: J26-06 SP5. The stones gave 0.29 kg too many.", "Stone pair 5 (SP5)",
        "no clean-down before it is in the book", "no laboratory result speaks of this lot", "Lumps in the tin after a week in the fridge", "None is on file in this book", "the book supports it",
        "cannot be shown", "is not excluded", "was questioned", "As it stands in demo_season.json", "Consignee 3",
    )
    assert held_by_all((*CHAPTERS, *facts), text) == []
    assert "page 1 of" in text
    assert faces_of(pdf) <= {"BIZ-UDPGothic", "BIZ-UDPGothic-Bold", "BIZ-UDGothic", "BIZ-UDGothic-Bold"}
    assert {"BIZ-UDPGothic", "BIZ-UDPGothic-Bold"} <= faces_of(pdf)


@pytest.mark.parametrize("name", ["K26-02", "R26-SG1", "H26-LT1", "B26-06-1"])
@pytest.mark.parametrize("language", ["en", "ja"])
def test_any_lot_of_any_stage_has_a_dossier_in_either_language(demo: None, name: str, language: str) -> None:
    with translation.override(language):
        pdf = LotPaper(find(name).lots, Reader.INSPECTOR).pdf()
    paper = PdfReader(io.BytesIO(pdf))
    assert paper.trailer["/Root"]["/Lang"] == language  # type: ignore[index]
    assert len(paper.pages) >= 3


def test_the_papers_language_is_not_the_desks(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    with translation.override("en"), translation.override("ja"):
        text = read_pdf(LotPaper(find("K26-06").lots).pdf())
    assert "石臼" in text
    assert "夜風谷石臼製粉所" in text
    assert "2026-05-15（金）" in text


def test_a_buyer_is_told_of_no_other_buyer_and_of_what_is_withheld(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    text = read_pdf(LotPaper(find("K26-06").lots, Reader.BUYER).pdf())
    assert held_by_all(("Tea Room North", "Cafe Delta", "Example Importer East", "32.5060 N", "DN-26-031"), text) != []
    assert not any(word in text for word in ("Tea Room North", "Cafe Delta", "Example Importer East", "32.5060 N", "DN-26-031"))
    assert "Withheld: the names of 3 consignees" in text
    assert "exact places of fields" in text


def test_an_inspector_reads_everything(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    text = read_pdf(LotPaper(find("K26-06").lots, Reader.INSPECTOR).pdf())
    assert held_by_all(("Tea Room North", "Cafe Delta", "Example Importer East", "32.5060 N", "DN-26-031"), text) == []


def test_a_plot_that_is_not_disclosed_is_not_named(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    assert FieldPlot.objects.filter(code="P4").latest("version").disclosed == "valley"
    told, kept = (read_pdf(LotPaper(find("S26-04").lots, reader).pdf()) for reader in (Reader.INSPECTOR, Reader.BUYER))
    assert "Old Ferry" in told
    assert "Fukurou household" in told
    assert "Old Ferry" not in kept
    assert "Fukurou" not in kept
    assert "a plot in the Yorukaze valley" in kept
    assert "withheld" in kept


def test_the_balance_rows_name_the_pair_that_stands_out(demo: None) -> None:
    rows = balance_rows(facts_of("K26-06").flow.nodes)
    assert [(row.stage, row.name, row.verdict) for row in rows if row.verdict is not Verdict.ADDS_UP] == [
        ("Stones", "J26-06", Verdict.STOP), ("Stones", "J26-06 SP5", Verdict.STOP),
    ]
    assert rows[0].in_kg == "341.75"
    assert headline(facts_of("K26-02").flow.nodes) == (Verdict.ADDS_UP, "Adds up at every stage that is judged")
    assert headline(()) == (Verdict.CANNOT, "No stage of it is judged: nothing was weighed on both sides yet.")
    assert headline(facts_of("R26-SG1").flow.nodes)[0] is Verdict.STOP


def test_claims_hold_fail_or_stay_open_by_contact(demo: None) -> None:
    def answers(name: str) -> dict[str, str]:
        facts = facts_of(name)
        return {row.words: row.answer for row in Claims(facts.trace, facts.mass_mg, eyes_for(facts)).rows()}

    supported = dict.fromkeys(
        ("Organic", "Single cultivar", "Single plot", "First flush", "From the Yorukaze valley only"), "the book supports it",
    )
    assert answers("K26-02") == supported
    open_by_contact = dict.fromkeys(("Organic", "Single cultivar", "Single plot"), "cannot be shown")
    assert answers("K26-06") == supported | open_by_contact
    assert answers("S26-04") == supported | {"Organic": "the book does not support it"}


def test_the_ground_of_a_claim_names_bound_and_machine(demo: None) -> None:
    facts = facts_of("K26-06")
    single = next(row for row in Claims(facts.trace, facts.mass_mg, eyes_for(facts)).rows() if row.words == "Single cultivar")
    assert single.ground.replace("\u00a0", " ") == "100 % Okuyutaka by the book. Up to 0.36 kg of 1 other harvest on SP5 is not excluded."


def test_a_hold_and_a_correction_are_shown(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    step = Step.objects.get(opened__maker_ref="R26-SG1")
    line = Flow.objects.get(step=step, role="off_colour")
    correcting.adjust(Act("C", reason="The ticket says 3.38"), step=step.pk, masses_mg={line.pk: line.mass_mg + 540_000})
    holding.hold(Act("C"), lot="R26-SG1", reason="To be weighed again")
    text = read_pdf(LotPaper(find("R26-SG1").lots).pdf())
    assert held_by_all(("was corrected by entry", "+0.54 kg in all", "The ticket says 3.38", "hold on R26-SG1", "stands today"), text) == []


def test_the_entries_of_the_lot_can_be_checked_against_the_journal(demo: None) -> None:
    paper = LotPaper(find("K26-06").lots)
    own = LotEntry.objects.filter(lot__maker_ref="K26-06").select_related("entry")
    assert {row.leaf_hash for row in paper.entries} == {leaf_hash(bytes(row.entry.body)).hex() for row in own}
    assert len(paper.entries) == own.count()
    assert paper.root.replace(" ", "") == paper.facts.head.root.hex()
    assert paper.size == str(JournalEntry.objects.count())


def test_the_root_is_that_of_all_entries(demo: None) -> None:
    from lots.journal.tree import root

    hashes = [bytes(h) for h in JournalEntry.objects.order_by("seq").values_list("leaf_hash", flat=True)]
    assert facts_of("K26-06").proof.root == root(hashes)


def test_the_lineage_has_three_tiers_with_bounds(demo: None) -> None:
    facts = facts_of("K26-06")
    sheet = lineage_sheet(facts.trace, facts.flow.nodes, eyes_for(facts))
    titles = {(box.title, box.tier) for box in sheet.boxes}
    assert ("K26-06", Tier.CONTAINS) in titles
    assert ("J26-05", Tier.TOUCHED) in titles
    assert {box.title for box in sheet.boxes if box.scanned} == {"K26-06"}
    gone = {box.title: box.lines for box in sheet.boxes if box.column == 7}
    assert gone == {"3 consignees": ("900 tins", "100 bags"), "here": ("56 tins", "9 bags")}
    seen = lineage_sheet(facts.trace, facts.flow.nodes, eyes_for(facts, Reader.INSPECTOR))
    assert {box.title: box.lines for box in seen.boxes if box.column == 7} == {
        "Tea Room North": ("360 tins",), "Cafe Delta": ("240 tins", "40 bags"), "Example Importer East": ("300 tins", "60 bags"),
        "here": ("56 tins", "9 bags"),
    }
    rows = {(row.tier, row.earlier, row.later, row.machines): row.why.replace("\u00a0", " ") for row in contact_rows(facts.trace)}
    assert rows["may have touched", "J26-05", "J26-06", "SP5"] == "at most 0.36 kg"
    assert [key for key in rows if key[0] == "may have touched"] == [("may have touched", "J26-05", "J26-06", "SP5")]
    assert rows["excluded", "K26-02", "K26-06", "FILL1"].startswith("FILL1 was opened and cleaned on 2026-06-16 (Tue) 17:00 (entry ")


def test_clean_downs_of_one_moment_are_said_together(demo: None) -> None:
    why = next(row.why for row in contact_rows(facts_of("K26-02").trace) if row.machines.startswith("SP1"))
    assert re.fullmatch(r"SP1, SP2, SP3, SP4, SP5, SP6 were opened and cleaned on 2026-06-06 \(Sat\) 08:40 \(entries \d+–\d+\)", why)


def test_what_went_from_stop_to_stop_is_drawn_as_recorded_in_every_tier(demo: None) -> None:
    facts = facts_of("K26-06")
    full = lineage_sheet(facts.trace, facts.flow.nodes, eyes_for(facts))
    titles = {box.key: box.title for box in full.boxes}
    drawn = as_drawn(full)
    assert [(titles[a.source], titles[a.target]) for a in drawn.arrows if a.tier is Tier.TOUCHED] == [("J26-05", "J26-06")]
    assert [(a.source, a.target, a.above) for a in drawn.arrows] == [(a.source, a.target, a.above) for a in full.arrows]


def test_ovens_that_add_up_make_room_on_paper(demo: None) -> None:
    facts = facts_of("K26-06")
    full = lineage_sheet(facts.trace, facts.flow.nodes, eyes_for(facts))
    narrow = without_ovens(full)
    ovens = {box.key for box in full.boxes if box.column == 2}
    assert len(narrow.columns) == len(full.columns) - 1
    assert {box.key for box in full.boxes} - {box.key for box in narrow.boxes} == ovens
    assert ("Sorting", 2) in {(narrow.columns[box.column], box.column) for box in narrow.boxes}
    assert len(narrow.arrows) == len(full.arrows) - len(ovens)
    assert without_ovens(narrow) == narrow


def test_both_drawings_are_in_the_paper(demo: None) -> None:
    paper = LotPaper(find("K26-06").lots)
    assert '<title id="flow-title">The way of lot K26-06' in paper.flow
    assert len(paper.lineage) >= 1
    pages = PdfReader(io.BytesIO(paper.pdf())).pages
    assert sum(1 for page in pages if page.mediabox.width > page.mediabox.height) == len(paper.lineage)


def test_treatments_say_whether_the_interval_was_kept(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    text = read_pdf(LotPaper(find("R26-SG1").lots).pdf())
    assert "Sample product A (invented)" in text
    assert "49 days passed, 14 days were to pass: kept" in text


def test_the_same_book_gives_the_same_paper(demo: None) -> None:
    assert LotPaper(find("H26-LT1").lots).pdf() == LotPaper(find("H26-LT1").lots).pdf()


def test_a_share_of_unknown_origin_is_said(demo: None) -> None:
    facts = facts_of("K26-06")
    assert Fields((), (OriginShare(0.75, harvest=1), OriginShare(0.25)), eyes_for(facts)).unknown.replace("\u00a0", " ") == "25.00 %"
    assert Fields((), (OriginShare(1.0, harvest=1),), eyes_for(facts)).unknown == ""
