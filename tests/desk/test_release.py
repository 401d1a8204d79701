"""Tests and release at the desk: sample, result, decision, second person, tasting, complaint, a table of limits."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lots.models import Complaint, Hold, LabResult, Limit, Lot, LotDecision, SampleTaken, SensoryNote
from tests import factories
from tests.desk.conftest import Hands, asked, broken_off, entries, page, refused, sent_twice, typed, written
from tests.record.labs import PAH, laboratory, named, report

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
SAMPLE, RESULT = "/release/sample/", "/release/result/"


@pytest.fixture(autouse=True)
def folder(settings: pytest.FixtureRequest, tmp_path: Path) -> Path:
    settings.LEDGER_REPORT_DIR = tmp_path
    return tmp_path


@pytest.fixture
def lead(hands: Hands) -> Client:
    """The quality lead, with a laboratory and limits in the registers."""
    laboratory()
    return hands("quality")


def result(lot: Lot, value: str = "3", **other: object) -> dict[str, object]:
    told = {"lot": lot.code, "laboratory": "L1", "parameter": PAH, "found": "value", "value": value, "unit": "ug/kg", "basis": "as sold",
            "method": "GC-MS", "reported_on": f"{factories.today():%Y-%m-%d}"}
    return typed(**told | other)


def pdf(content: bytes = b"%PDF-1.7 report", name: str = "../r.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="application/pdf")


def test_a_sample_then_its_result_over_the_limit_stops_the_lot_and_says_what_it_means(lead: Client) -> None:
    lot = factories.Sieved()
    sample = typed(lot=lot.code, mass_mg="0.1", sample_no="A-1", method="ISO 1839", laboratory="L1", seal_no="77", scale="S3")
    assert "Sample A-1 of lot" in written(lead, SAMPLE, sample)
    assert SampleTaken.objects.get().laboratory.code == "L1"
    board = page(lead.get("/release/"))
    assert "1 sample is on its way." in board
    assert "Seal 77." in board
    told = written(lead, RESULT, result(lot, "14", sample_no="A-1", u_expanded="3", report=pdf()) | {
        "lot": "", "reported_on": f"{timezone.localdate():%Y-%m-%d}"})
    assert "14 ± 3 µg/kg, as sold." in told
    assert "Over: EU: at most 10.0 µg/kg, as sold; beyond doubt: also with the expanded uncertainty taken off." in told
    assert "The lot is stopped, with everything that was made of it, until a decision names this result." in told
    assert "A result is over a limit of today." in told
    assert "not yet checked by a second person" in told
    assert "Not tested: perchlorate; radiocaesium." in told
    assert "Its results" in page(lead.get("/release/"))
    report_file = lead.get(f"/release/report/{LabResult.objects.get().pk}/")
    assert (report_file.content, report_file["Content-Type"]) == (b"%PDF-1.7 report", "application/pdf")


def test_unit_and_basis_are_never_taken_for_granted(lead: Client) -> None:
    told = refused(lead, RESULT, result(factories.CrudeLeaf(), unit="", basis=""))
    assert told.count("Choose one.") == 2


def test_a_result_that_nothing_speaks_of_and_one_that_cannot_be_compared(lead: Client) -> None:
    lot = factories.CrudeLeaf()
    assert "No limit in the tables speaks of it, so it was compared with nothing." in written(lead, RESULT, result(lot, parameter="lead"))
    told = written(lead, RESULT, result(lot, "3", unit="Bq/kg"))
    assert "Not comparable: EU: at most 10.0 µg/kg, as sold; Bq/kg cannot be turned into ug/kg." in told
    assert not Hold.objects.exists()


@pytest.mark.parametrize(("files", "sentence"), [
    ([pdf(b"MZ")], "The file is no PDF, PNG or JPEG"), ([pdf(b"")], "The file is empty"),
    ([pdf(), pdf(b"%PDF other")], "Two files came. One result has one report"),
])
def test_a_wrong_or_second_file_gives_a_sentence(lead: Client, folder: Path, files: list[SimpleUploadedFile], sentence: str) -> None:
    assert sentence in refused(lead, RESULT, result(factories.CrudeLeaf(), report=files))
    assert list(folder.iterdir()) == []


def test_a_question_keeps_the_report(lead: Client) -> None:
    lot = factories.CrudeLeaf()
    written(lead, RESULT, result(lot))
    again = result(lot, report=pdf())
    answer = lead.post(RESULT, again)
    assert "in the book already" in page(answer)
    kept = answer.context["form"]["report_kept"].value()
    content = {name: value for name, value in again.items() if name != "report"}
    told = written(lead, RESULT, {**content, **asked(answer), "report_kept": kept, "act_reason": "Another report"})
    assert "The report" in told
    assert LabResult.objects.order_by("-pk")[0].file_sha256 == kept


def test_a_report_that_was_changed_is_not_handed_out(lead: Client, folder: Path) -> None:
    written(lead, RESULT, result(factories.CrudeLeaf(), report=pdf()))
    url = f"/release/report/{LabResult.objects.get().pk}/"
    next(folder.iterdir()).write_bytes(b"%PDF changed")
    assert "is not the one whose hash is in the book" in page(lead.get(url))
    next(folder.iterdir()).unlink()
    assert "not in the folder any more" in page(lead.get(url))


def decide(lot: Lot, verdict: str = "release", **other: object) -> dict[str, object]:
    return typed(**{"verdict": verdict, "markets": ["EU"], "ground": "Within", "results": " ".join(map(str, named(lot))), **other})


def test_a_lot_is_released_by_a_decision_that_names_its_results(lead: Client) -> None:
    lot = factories.Sieved()
    report(lot)
    url = f"/release/lot/{lot.code}/decide/"
    assert "Not tested: perchlorate" in page(lead.get(url))
    told = written(lead, url, decide(lot))
    assert "Released for EU by badge C." in told
    assert f"It names: {PAH} within (EU-BAP, version 1). Not tested: perchlorate." in told
    assert "It is released." in told
    assert "nothing was written twice" in sent_twice(lead, url, decide(lot, "refuse", ground="Smells of smoke"))
    assert Hold.objects.get().reason == "Not released: Smells of smoke"


def test_over_a_limit_is_refused_and_a_late_result_is_not_left_out(lead: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = factories.Sieved()
    old = decide(lot)
    report(lot, "14")
    url = f"/release/lot/{lot.code}/decide/"
    assert "A result came in" in refused(lead, url, old)
    assert "is 14 ug/kg, over its limit" in refused(lead, url, decide(lot))
    broken_off(lead, url, decide(lot, "refuse"), monkeypatch)
    assert "Choose one." in refused(lead, url, decide(lot, ""))
    assert "Choose at least one" in refused(lead, url, decide(lot, markets=[]))


def test_the_second_person_has_an_account_of_their_own(lead: Client, hands: Hands) -> None:
    lot = factories.Sieved()
    report(lot)
    factories.enter("release_rule", "EU", two_persons=True)
    assert "a second person has to confirm it" in written(lead, f"/release/lot/{lot.code}/decide/", decide(lot))
    url = f"/release/decision/{LotDecision.objects.get().pk}/"
    assert "1 release waits for a second person." in page(lead.get("/release/"))
    assert "The second person is another one" in refused(lead, url, typed(ground="Looked at the report"))
    assert "Confirmed by badge D." in written(hands("recall_lead"), url, typed(ground="Looked at the report"))
    assert "waits for a second person" not in page(lead.get("/release/"))


def test_a_stop_by_a_result_points_at_the_decision(lead: Client) -> None:
    report(factories.Sieved(), "14")
    told = refused(lead, f"/hold/{Hold.objects.get().pk}/release/", typed(reason="Looks fine"))
    assert "released by a decision that names its results, under Tests and release" in told


def test_a_tasting_and_cultivars_side_by_side(lead: Client) -> None:
    lot = factories.mill().tubs[0]
    marks = {f"{name}_mark": str(mark) for name, mark in zip(("aroma", "taste", "colour", "body", "foam"), (4, 5, 5, 3, 4), strict=True)}
    told = written(lead, "/release/tasting/", typed(
        lot=lot.code, taster="C", blind="yes", aroma="young leaf", tasted_on=f"{factories.today():%Y-%m-%d}", **marks,
    ))
    assert "Aroma 4, taste 5, colour 5, body 3, foam 4 of 5. Blind. young leaf." in told
    assert SensoryNote.objects.get().taster.code == "C"
    row = page(lead.get("/release/cultivars/"))
    assert "Saemidori 1 4.0 5.0 5.0 3.0 4.0" in row
    assert "40.3" in row
    assert "Choose one." in refused(lead, "/release/tasting/", typed(lot=lot.code, taster="C", blind="yes", tasted_on="2026-01-01"))


def test_two_complaints_on_one_lot_are_shown_together(lead: Client, hands: Hands) -> None:
    tins, url = factories.Packed(), "/release/complaint/"
    facts = {"lot": tins.code, "what": "A hair in the tin", "seriousness": "minor", "received_on": f"{factories.today():%Y-%m-%d}"}
    written(hands("packing"), url, typed(**facts, contact="Haru Mori"))
    said = page(lead.post(f"{url}live/", typed(**facts)))
    assert "Said of it before: “A hair in the tin” (minor)." in said
    assert "2 complaints speak of this lot by now." in written(lead, url, typed(**facts | {"seriousness": "health"}))
    board = page(lead.get("/release/"))
    assert board.count("2 complaints speak of this lot.") == 2
    assert "From Haru Mori." in board
    book = page(lead.get(reverse("lot", args=[tins.code])))
    assert "Complaints" in book
    assert "“A hair in the tin” (somebody fell ill)." in book
    assert Complaint.objects.filter(lot=tins).count() == 2


TABLE = """code,market,parameter,basis,bound,value,unit,clause,read_in,valid_from
EU-ACE,EU,acetamiprid,as sold,at most,0.05,mg/kg,396/2005 Annex II,database of the Commission,2026-01-01
EU-AZO,EU,azoxystrobin,as sold,at most,0.05,mg/kg,396/2005 Annex II,database of the Commission,
"""


def test_a_table_of_limits_comes_in_as_a_file_or_every_faulty_row_is_named(lead: Client) -> None:
    url, before = "/release/limits/", Limit.objects.count()

    def table(text: str) -> dict[str, object]:
        return typed(table=SimpleUploadedFile("limits.csv", text.encode(), content_type="text/csv"))

    bad = refused(lead, url, table(TABLE.replace("2026-01-01", "soon")))
    assert "Row 2: valid_from is “soon”; write a day as 2026-07-14." in bad
    worse = refused(lead, url, table(TABLE.replace("mg/kg", "ppm")))
    assert "Row 2: ppm is not known here" in worse
    assert "Row 3: ppm is not known here" in worse
    assert "Columns are missing: clause" in refused(lead, url, table(TABLE.replace(",clause,", ",law,")))
    assert "Choose the file." in refused(lead, url, typed())
    assert Limit.objects.count() == before
    count = entries()
    assert "2 limits are in the book." in written(lead, url, table(TABLE))
    assert entries() == count + 1


def test_who_may_open_what(hands: Hands) -> None:
    laboratory()
    lot = factories.CrudeLeaf()
    for role, codes in (("packing", (200, 200, 403, 403)), ("auditor", (200, 403, 403, 403)), ("quality", (200, 200, 200, 200))):
        urls = ("/release/", SAMPLE, RESULT, f"/release/lot/{lot.code}/decide/")
        assert tuple(hands(role).get(url).status_code for url in urls) == codes
