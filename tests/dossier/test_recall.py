"""The recall report against the demo season: counts, consignees, tiers, files."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone, translation
from openpyxl import load_workbook

from lots.dossier.recall_counts import by_product, total_of
from lots.dossier.recall_report import RecallReport
from lots.dossier.recall_words import Case
from lots.models import Lot, PackedUnit, PackSecret, PrivateValue
from lots.read.finding import find
from lots.read.recall_starts import Begin, at_lots, at_pair, at_plot
from lots.read.recalling import RecallAnswer, recall
from lots.record import cleaning, counting, dispatch
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.record.lines import Weight
from lots.trade.lineage import Tier

DRILL = Case("2026-03", drill=True, reason="A smell of smoke was told by a buyer")


def at(text: str) -> dt.datetime:
    return timezone.make_aware(dt.datetime.fromisoformat(text))


def k26_06(typed: dict[int, int] | None = None) -> RecallAnswer:
    return recall(at_lots(find("K26-06")), typed or {})


def tins() -> PackedUnit:
    return PackedUnit.objects.get(lot__maker_ref="K26-06", product__code="T30", retained=False)


def counts(answer: RecallAnswer) -> dict[tuple[str, Tier], tuple[int, ...]]:
    """By product and tier: made, kept, destroyed, dispatched, here, not accounted for."""
    return {
        (q.product.product, q.tier): (
            q.accounting.made_count, q.accounting.retained_count, q.accounting.destroyed_count, q.accounting.dispatched_count,
            q.accounting.on_hand_count, q.accounting.unaccounted_count,
        )
        for q in by_product(answer)
    }


def test_the_tins_of_the_demo_season_are_all_found(demo: None) -> None:
    assert counts(k26_06()) == {
        ("T30", Tier.CONTAINS): (956, 8, 0, 900, 48, 0),
        ("B100", Tier.CONTAINS): (109, 0, 0, 100, 9, 0),
    }


def test_exact_and_may_have_received_are_apart(demo: None) -> None:
    scope = k26_06().scope
    exact = {who: [(d.shipment.first_no, d.shipment.last_no) for d in rows] for who, rows in scope.exact.items()}
    assert exact == {"TRN": [(1, 360)], "CFD": [(361, 600), (949, 988)], "EIE": [(601, 900)]}
    assert {who: [d.shipment.count for d in rows] for who, rows in scope.may_have_received.items()} == {"EIE": [60]}
    assert scope.dispatched_by_consignee == {"CFD": 280, "EIE": 360, "TRN": 360}


def test_a_pack_brings_its_whole_packing_run(demo: None) -> None:
    from lots.codes.packs import pack_code

    unit = tins()
    start = at_lots(find(pack_code(unit.run_no, 412, bytes(PackSecret.objects.get(pk=unit.run_no).secret))))
    assert (start.begin, start.pack_no) == (Begin.PACK, 412)
    assert counts(recall(start)) == counts(k26_06())


def test_a_plot_reaches_what_it_is_in_and_what_it_may_have_touched(demo: None) -> None:
    answer = recall(at_plot("P1"))
    tiers = {(s.fact.lot, s.tier) for s in answer.scope.series}
    assert tiers == {("K26-02", Tier.CONTAINS), ("K26-06", Tier.EXCLUDED)}
    by_contact = recall(at_plot("P2"))
    assert {(s.fact.lot, s.tier) for s in by_contact.scope.series} == {("K26-06", Tier.TOUCHED)}
    assert [(c.machine, c.earlier, c.later) for c in by_contact.contacts] == [("SP5", "J26-05", "J26-06")]
    assert {s.bound_mg for s in by_contact.scope.series} == {by_contact.contacts[0].bound_mg}
    assert 300_000 < (by_contact.contacts[0].bound_mg or 0) < 400_000
    assert "may only have touched it" in RecallReport(by_contact).lead
    second = recall(at_plot("P1", flush_no=2))
    assert second.scope.series == ()
    assert {one.lot.material for one in second.lots} >= {"fresh_leaf", "crude_leaf", "refined_leaf"}
    by_day = recall(at_plot("P1", first_on=dt.date(2026, 5, 1), last_on=dt.date(2026, 5, 3)))
    assert {s.fact.lot for s in by_day.scope.of_tier(Tier.CONTAINS)} == {"K26-02"}


def test_a_stone_pair_in_a_span_takes_the_tubs_that_it_ground_then(demo: None) -> None:
    answer = recall(at_pair("SP5", at("2026-07-13T00:00"), at("2026-07-13T12:00")))
    tubs = Lot.objects.filter(step__in=answer.start.steps, material="tub_powder")
    assert 1 <= tubs.count() <= 2
    assert {s.fact.lot for s in answer.scope.of_tier(Tier.CONTAINS)} == {"K26-06"}
    before = recall(at_pair("SP5", at("2026-05-01T00:00"), at("2026-05-02T00:00")))
    assert (before.start.steps, before.scope.series, before.lots) == ((), (), ())


def test_what_a_hand_counts_on_the_shelf_shows_what_is_missing_with_its_sign(demo: None) -> None:
    few, many = k26_06({tins().pk: 45}), k26_06({tins().pk: 50})
    assert [counts(a)["T30", Tier.CONTAINS][-2:] for a in (few, many)] == [(45, 3), (50, -2)]
    said = RecallReport(few)
    assert said.counts[0].cells[-1] == "+3"
    assert RecallReport(many).counts[0].cells[-1] == "−2"
    assert said.accounted_percent == "99.72 %".replace(" ", "\u00a0")
    assert said.counts[0].how == "counted"


def test_a_stock_count_of_packs_stands_for_the_shelf_until_more_leaves(demo: None) -> None:
    unit = tins()
    found = counting.count(Act("B", reason="counted twice"), lot=unit.lot.code, counted=Weight(unit.mean_mg * 46, "S3", 1))
    assert found.step
    assert counts(k26_06())["T30", Tier.CONTAINS][-2:] == (46, 2)
    dispatch.consign(Act("F"), consignee="TRN", packs=[Packs(unit.lot.code, 6, 901)], document_no="DN-26-040")
    assert counts(k26_06())["T30", Tier.CONTAINS] == (956, 8, 0, 906, 40, 2)


def test_one_hundred_per_cent_is_for_nothing_missing_only(demo: None) -> None:
    assert RecallReport(k26_06()).accounted_percent == "100\u00a0%"
    assert RecallReport(k26_06({tins().pk: 47})).accounted_percent != "100\u00a0%"


def test_uncounted_shelves_and_open_points_are_said(demo: None) -> None:
    points = " ".join(RecallReport(k26_06()).open_points)
    assert "Nobody has counted the shelf for: K26-06 T30, K26-06 B100." in points
    assert "written down by count only" in points


def test_an_erased_consignee_is_called_by_code_and_said(demo: None) -> None:
    seal = next(one.name for one in k26_06().sent if one.consignee == "TRN")
    PrivateValue.objects.filter(pk=seal).delete()
    report = RecallReport(k26_06())
    assert report.called[-1].who.name == ""
    assert any("TRN" in point and "not in the book any more" in point for point in report.open_points)
    assert report.pdf().startswith(b"%PDF")


def test_the_paper_carries_every_chapter(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    text = read_pdf(RecallReport(k26_06(), DRILL).pdf())
    for words in (
        "Drill", "Recall report K26-06", "Case 2026-03", "A smell of smoke", "1,065 packs were made", "Which packs", "1–948", "901–948",
        "Cafe Delta", "000-0002", "DN-26-032", "361–600", "May have received", "Example Importer East", "How far it reaches, and why",
        "recorded flow", "Not settled", "How this paper can be checked", "Cautions", "has not necessarily come back", "3 other series",
    ):
        assert words in text, words
    assert "page 1 of" in text
    assert "Data as of" in text


def test_a_real_recall_says_so(demo: None, read_pdf: Callable[[bytes], str]) -> None:
    text = read_pdf(RecallReport(k26_06(), Case("1", drill=False, reason="r")).pdf())
    assert "Stop every pack on these lists." in text
    assert "Nobody is called" not in text


@pytest.mark.parametrize("language", ["en", "ja"])
def test_the_whole_plot_is_set_in_either_language(demo: None, language: str) -> None:
    with translation.override(language):
        assert RecallReport(recall(at_plot("P1"))).pdf().startswith(b"%PDF")


def cells(report: RecallReport) -> dict[str, list[dict[str, Any]]]:
    """Every sheet of the workbook as rows by heading."""
    found = {}
    for sheet in load_workbook(io.BytesIO(report.xlsx())).worksheets:
        rows = list(sheet.iter_rows(values_only=True))
        found[sheet.title] = [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
    return found


def test_the_workbook_has_a_sheet_for_each_kind_and_its_sums_agree(demo: None) -> None:
    report = RecallReport(recall(at_plot("P2")), DRILL)
    sheets = cells(report)
    assert list(sheets) == [
        "Summary", "Quantities", "Series of packs", "Consignees", "May have received", "Lots", "Paths", "Tiers", "Cautions",
    ]
    summary = {row["What"]: row["Figure"] for row in sheets["Summary"]}
    total = total_of(by_product(report.answer))
    for heading, figure, want in (
        ("Made", "Packs made", total.made_count), ("Kept", "Kept samples", total.retained_count),
        ("Dispatched", "Dispatched", total.dispatched_count), ("Here", "Here", total.on_hand_count),
        ("Not accounted for", "Not accounted for", total.unaccounted_count),
    ):
        assert sum(row[heading] for row in sheets["Series of packs"]) == sum(row[heading] for row in sheets["Quantities"]) == want
        assert summary[figure] == want
    sent = sum(row["Packs"] - row["Come back"] for name in ("Consignees", "May have received") for row in sheets[name])
    assert sent == total.dispatched_count
    assert {(row["From"], row["To"]) for row in sheets["Paths"]} >= {("J26-05", "S26-05"), ("S26-06", "K26-06"), ("K26-06", "Cafe Delta")}
    assert {row["Tier"] for row in sheets["Tiers"]} == {"may have touched"}
    assert {row["Tier"] for row in cells(RecallReport(recall(at_plot("P1"))))["Tiers"]} == {"contains", "excluded"}


def test_the_workbook_runs_no_formula_of_a_consignee(demo: None) -> None:
    from lots.record.registers import enter

    name, contact = '=HYPERLINK("http://example.com","x")', {"telephone": "+1-000", "mail": "@x"}
    enter(Act("A"), table="party", code="EVIL", fields={"name": name, "contact": contact, "roles": "consignee"})
    dispatch.consign(Act("F"), consignee="EVIL", packs=[Packs(tins().lot.code, 2, 901)], document_no="=1+1")
    report = RecallReport(k26_06())
    row = next(r for r in cells(report)["Consignees"] if r["Consignee"] == "EVIL")
    assert (row["Name"], row["Delivery note"], row["Contact"]) == (f"'{name}", "'=1+1", "'+1-000, @x")
    text = b"".join(report.csv("consignees") or []).decode()
    assert [r["Name"] for r in csv.DictReader(io.StringIO(text[1:])) if r["Consignee"] == "EVIL"] == [f"'{name}"]


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", '"><img src="http://example.com/x.png">', "Del\u202eta & Söhne", "髙﨑 ㈱ 茶舗"])
def test_hostile_and_rare_names_are_words_on_paper(demo: None, name: str, read_pdf: Callable[[bytes], str]) -> None:
    from lots.record.registers import enter

    enter(Act("A"), table="party", code="ODD", fields={"name": name, "contact": {"telephone": "000"}, "roles": "consignee"})
    dispatch.consign(Act("F"), consignee="ODD", packs=[Packs(tins().lot.code, 2, 901)], document_no=f"{name}"[:40])
    text = read_pdf(RecallReport(k26_06()).pdf())
    assert name.replace("\u202e", "") in text


def test_csv_of_a_sheet_that_is_not_there(demo: None) -> None:
    assert RecallReport(k26_06()).csv("nothing") is None


def test_a_lot_that_nobody_used_reaches_no_pack(demo: None) -> None:
    answer = recall(at_lots(find("R26-LT2")))
    report = RecallReport(answer)
    assert answer.scope.series == ()
    assert "No pack holds it" in report.lead
    assert report.accounted_percent == "not applicable"
    assert report.pdf().startswith(b"%PDF")


def test_a_clean_down_after_both_jobs_shuts_nothing_out(demo: None) -> None:
    cleaning.clean(Act("D"), equipment="SP5", opened=True, result="clean")
    assert ("K26-06", Tier.TOUCHED) in {(s.fact.lot, s.tier) for s in recall(at_plot("P2")).scope.series}
