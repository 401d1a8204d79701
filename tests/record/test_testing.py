"""Results: unit and basis forced, compared with every limit of the day; one that is over stops its lot in the same act."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from pathlib import Path

import factory
import pytest

from lots.models import Hold, JournalEntry, LabResult, SampleTaken
from lots.quality.limits import Answer, Doubt
from lots.read.limits import compared, limits_on, not_tested
from lots.read.results import results_of
from lots.read.verifying import verify_book
from lots.record import holding, report_files, sampling, testing
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes
from tests.record.labs import PAH, facts, laboratory, report

pytestmark = pytest.mark.usefixtures("mill")


def lab_and_lot() -> object:
    laboratory()
    return make.Sieved()


class LabTested(make.Recorded):
    """A result within the limit."""

    _record = staticmethod(testing.result)
    lot = factory.LazyFunction(lab_and_lot)
    laboratory = "L1"
    method = "GC-MS"
    parameter = PAH
    found = "value"
    value = Decimal("3.10")
    unit = "ug/kg"
    basis = "as sold"
    reported_on = factory.LazyFunction(make.today)


def test_a_result_within_stops_nothing_and_keeps_its_places() -> None:
    step = LabTested(u_expanded=Decimal("0.6"), loq=Decimal("0.5"), accreditation="ISO/IEC 17025, 0815", report_no="R-7")
    row = LabResult.objects.get(step=step)
    assert (row.value, row.loq, row.u_expanded, row.unit, row.basis) == ("3.10", "0.5", "0.6", "ug/kg", "as sold")
    one, = compared(row, limits_on(make.today()), make.today())
    assert (one.limit.code, one.found.answer, one.stops) == ("EU-BAP", Answer.WITHIN, False)
    assert not Hold.objects.exists()
    assert verify_book() == []


def test_a_result_over_stops_the_lot_in_the_same_act_and_says_why() -> None:
    lot = lab_and_lot()
    step = LabTested(lot=lot, value=Decimal(14), u_expanded=Decimal(3))
    hold = Hold.objects.get()
    assert (hold.lot, hold.entry_id, hold.kind) == (lot, step.entry_id, "hold")
    assert hold.reason == f"Laboratory: {PAH} 14 ug/kg, outside EU at most 10.0 ug/kg (Annex I)."
    one, = compared(LabResult.objects.get(), limits_on(make.today()), make.today())
    assert one.found.doubt is Doubt.BEYOND
    body = json.loads(bytes(JournalEntry.objects.get(pk=step.entry_id).body))
    assert body["act"]["rows"]["lab_result"][0]["value"] == "14"
    assert [told["lot"] for told in body["lots"]] == [lot.code]
    assert verify_book() == []


def test_such_a_stop_is_not_ended_without_a_decision() -> None:
    LabTested(value=Decimal(14))
    msg = "released by a decision that names its results"
    expect_refusal(holding.release, msg, hold=Hold.objects.get().pk, reason="Looks fine")


def test_a_result_that_was_taken_back_lets_its_stop_be_ended() -> None:
    step = LabTested(value=Decimal(14))
    take_back(step)
    lot = LabResult.objects.get().lot
    assert results_of(lot) == []
    holding.release(Act("C"), hold=Hold.objects.get(ended_by=None).pk, reason="Typed to the wrong lot", happened_at=make.next_moment())
    assert verify_book() == []


@pytest.mark.parametrize("other", [
    {"value": None, "found": "below LOQ", "loq": Decimal(20)}, {"unit": "Bq/kg"}, {"basis": "dry"}, {"parameter": "lead"},
    {"parameter": "total ash", "value": Decimal(9), "unit": "g/100 g", "basis": "dry"}, {"value": None, "found": "detected"},
])
def test_what_cannot_be_compared_or_only_informs_stops_nothing(other: dict[str, object]) -> None:
    LabTested(**{"value": Decimal(14)} | other)
    assert not Hold.objects.exists()
    assert verify_book() == []


def test_a_packs_results_are_those_of_its_powder_too() -> None:
    laboratory()
    sieved = make.Sieved()
    tins = make.Packed(lots=[sieved])
    report(sieved)
    report(tins, "0.2", parameter="Perchlorate", unit="mg/kg")
    assert [row.lot for row in results_of(tins)] == [sieved, tins]
    assert [row.lot for row in results_of(sieved)] == [sieved]
    assert not_tested(results_of(tins), limits_on(make.today())) == ["radiocaesium"]
    assert verify_book() == []


def test_a_sample_stands_for_its_lot() -> None:
    lot = lab_and_lot()
    sampling.take(Act("A"), lot=lot.code, sample_no="B-9", method="ISO 1839", mass=make.kg("0.1"), happened_at=make.next_moment())
    receipt = testing.result(Act("A"), **facts(lot, sample_no="b-9") | {"lot": ""})
    row = LabResult.objects.get(step=receipt.step)
    assert (row.lot, row.sample.sampletaken) == (lot, SampleTaken.objects.get())
    expect_refusal(testing.result, "was taken of lot", **facts(make.CrudeLeaf(), sample_no="B-9"))
    early = facts(lot, "4", sample_no="B-9", reported_on=make.today() - dt.timedelta(days=3))
    expect_question(testing.result, "older than the sample", **early)
    assert verify_book() == []


def test_the_same_result_twice_is_asked_about() -> None:
    lot = lab_and_lot()
    report(lot)
    expect_question(testing.result, "in the book already", **facts(lot))
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"unit": ""}, "Choose the unit", "unit"), ({"unit": "ppm"}, "Choose the unit", "unit"), ({"basis": ""}, "Choose the basis", "basis"),
    ({"found": "ok"}, "what the laboratory found", "found"), ({"value": None}, "Type the value", "value"),
    ({"found": "below LOQ"}, "Which of the two", "found"), ({"value": Decimal(-1)}, "below nothing", "value"),
    ({"parameter": " "}, "what was tested", "parameter"), ({"method": ""}, "which method", "method"),
    ({"lot": ""}, "Name the sample", "sample_no"), ({"sample_no": "Z"}, "No sample Z", "sample_no"),
    ({"laboratory": "L7"}, "register of parties", "laboratory"), ({"reported_on": dt.date(2199, 1, 1)}, "not come yet", "reported_on"),
])
def test_what_has_no_meaning_is_refused_at_its_line(other: dict[str, object], match: str, field: str) -> None:
    laboratory()
    assert expect_refusal(testing.result, match, **facts(make.CrudeLeaf()) | other).field == field


def test_a_report_is_kept_outside_the_book_under_its_hash(settings: pytest.FixtureRequest, tmp_path: Path) -> None:
    settings.LEDGER_REPORT_DIR = tmp_path
    kept = report_files.keep(b"%PDF-1.7 a report")
    assert report_files.keep(b"%PDF-1.7 a report") == kept
    assert [path.name for path in tmp_path.iterdir()] == [f"{kept.sha256}.pdf"]
    assert report_files.kept(kept.sha256) == kept
    assert report_files.kept("../etc") is None
    step = LabTested(report=kept)
    row = LabResult.objects.get(step=step)
    assert (row.file_sha256, row.file_name) == (kept.sha256, kept.name)
    assert kept.sha256 in bytes(JournalEntry.objects.get(pk=step.entry_id).body).decode()
    for content, match in ((b"", "empty"), (b"MZ program", "no PDF, PNG or JPEG"), (b"%PDF-" + bytes(10_000_000), "more than 10 MB")):
        with pytest.raises(report_files.Refused, match=match):
            report_files.keep(content)
    assert verify_book() == []


def test_the_power_goes_and_neither_result_nor_stop_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = facts(lab_and_lot(), "14")
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            testing.result(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = testing.result(act, **asked), testing.result(act, **asked)
    assert (again.seq, again.repeated, Hold.objects.count()) == (first.seq, True, 1)
    assert verify_book() == []
