"""An inspector's balance: the page, its figures, the workbook, and an independent program that works it out again."""

from __future__ import annotations

import datetime as dt
import io
from collections import defaultdict
from typing import Any

import pytest
from django.test import Client
from openpyxl import Workbook, load_workbook

from lots.balance.period import Column, Line, fold_states
from lots.balance.posting import exit_column
from lots.models import Flow, Lot
from lots.record import receiving, removing
from lots.record.acts import Act
from lots.record.harvest import Deducted
from lots.record.lines import Moisture
from tests import factories
from tests.desk.conftest import Hands, page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
#: The product groups, told here once more and on purpose not taken from the program under test.
GROUP = {
    "fresh_leaf": "fresh leaf", "crude_leaf": "crude leaf", "refined_leaf": "refined leaf", "left_over": "refined leaf",
    "tub_powder": "powder", "sieved_powder": "powder", "bulk_powder": "powder", "packed_tea": "packed tea", "retained_tea": "packed tea",
    "stem": "by-products", "vein_stem": "by-products", "fines": "by-products", "off_colour": "by-products", "oversize": "by-products",
}
SIGN = {"out": 1, "in": -1, "difference": 1}


def span() -> dict[str, str]:
    """From the first act of the story to today."""
    return {"first_on": str(factories.BEGAN.date() - dt.timedelta(days=1)), "last_on": str(dt.date.today())}  # noqa: DTZ011 - a day more is no harm


@pytest.fixture
def told(mill: None) -> factories.Chain:
    """Organic leaf to the buyer, conventional leaf that is milled with it on one pair, a count, a hopper that mills."""
    told = factories.chain()
    other = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2")))
    factories.Counted(lot=other, counted=factories.kg("2.00", "S2"), reason="weighed again, the same")
    factories.Load(lot=told.refined, pair="SP2", job="J9")
    factories.Load(lot=other, pair="SP2", job="J9", charge=factories.kg("0.400"), reason="one job of two lots")
    factories.Tub(pair="SP2", powder=factories.kg("0.700"))
    return told


@pytest.fixture
def auditor(hands: Hands) -> Client:
    return hands("auditor")


def book_of(client: Client, **asked: str) -> Workbook:
    answer = client.get("/office/balance/file/", asked or span())
    assert answer.status_code == 200
    return load_workbook(io.BytesIO(answer.content))


def rows_of(book: Workbook, sheet: str) -> list[dict[str, Any]]:
    head, *rest = book[sheet].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rest]


def by_hand() -> dict[tuple[str, str], float]:
    """What the raw lines of the book make: of each group, what came in and what stands there, summed without the program."""
    found: dict[tuple[str, str], float] = defaultdict(float)
    opened = {}
    for line in Flow.objects.select_related("lot").order_by("pk"):
        if line.lot is None:
            continue
        dry = line.mass_mg * (1 - float(line.moisture_frac or 0)) / 1e6
        opened.setdefault(line.lot_id, float(line.moisture_frac or 0))
        group = GROUP[line.lot.material]
        found[group, "closing"] += SIGN[line.kind] * line.mass_mg * (1 - opened[line.lot_id]) / 1e6
        if line.lot.material == "fresh_leaf" and line.kind == "out":
            found[group, "received"] += dry
        if line.lot.material == "packed_tea" and line.kind == "in":
            found[group, "out"] += dry
    return found


def test_an_independent_program_works_the_workbook_out_again(auditor: Client, told: factories.Chain) -> None:
    rows = rows_of(book_of(auditor), "Balance")
    figures: dict[tuple[str, str], float] = defaultdict(float)
    for row in rows:
        figures[row["Product group"], row["Line"]] += float(row["kg dry"])
    raw = by_hand()
    for group in set(GROUP.values()):
        words = {"closing": "stands here at the end", "received": "received: plucked, bought, come back", "out": "went out"}
        for name, line in words.items():
            in_mill = float(0)
            if (group, name) == ("refined leaf", "closing"):
                run = Flow.objects.filter(step__stage="milling", step__equipment__code="SP2").order_by("pk")
                in_mill = sum((1 if f.kind == "in" else -1) * f.mass_mg * (1 - float(f.moisture_frac or 0)) / 1e6 for f in run)
                assert in_mill > 0
            assert figures[group, line] == pytest.approx(raw[group, name] + in_mill, abs=2e-6), (group, name)


def test_each_group_closes_from_the_figures_of_the_sheet_alone(auditor: Client, told: factories.Chain) -> None:
    sides: dict[tuple[str, str], float] = defaultdict(float)
    for row in rows_of(book_of(auditor), "Balance"):
        sides[row["State"], row["Product group"]] += float(row["kg dry"]) * (1 if row["Side"] == "in" else -1)
    assert {state for state, _group in sides} == {"organic", "conventional"}
    assert all(abs(rest) < 2e-5 for rest in sides.values()), sides


def test_the_postings_and_the_events_make_the_same_figures(auditor: Client, told: factories.Chain) -> None:
    book = book_of(auditor)
    posted: dict[tuple[str, ...], float] = defaultdict(float)
    for row in rows_of(book, "Postings"):
        posted[row["State"], row["Product group"], row["Line"]] += float(row["kg dry"])
    for row in rows_of(book, "Balance"):
        assert posted[row["State"], row["Product group"], row["Line"]] == pytest.approx(float(row["kg dry"]), abs=2e-5)
    sheets = [name for name in book.sheetnames if name not in {"Balance", "By cause", "Postings"}]
    lines = [row for name in sheets for row in rows_of(book, name) if row.get("Side")]
    assert len(lines) == Flow.objects.count()
    assert sum(round(float(row["kg as read"]) * 1e6) for row in lines) == sum(Flow.objects.values_list("mass_mg", flat=True))


def test_one_sheet_for_each_kind_of_event_unmerged_with_both_clocks(auditor: Client, told: factories.Chain) -> None:
    book = book_of(auditor)
    assert {"Leaf in", "Oven", "Sorting", "Stones", "Sieve", "Tins and bags", "Going out", "Stock count"} <= set(book.sheetnames)
    assert all(not sheet.merged_cells.ranges for sheet in book)
    leaf = rows_of(book, "Leaf in")[0]
    assert (leaf["Lot"], leaf["plot"], leaf["Badge"]) == (told.fresh.code, "P1", "A")
    assert dt.datetime.fromisoformat(leaf["Happened, UTC"]) == told.fresh.step.happened_at
    assert "Happened, Asia/Tokyo" in leaf
    assert rows_of(book, "Going out")[0]["document no"] == "D-1"


def test_organic_powder_with_any_other_leaf_is_downgraded(auditor: Client, told: factories.Chain) -> None:
    rows = {(r["State"], r["Product group"], r["Line"]): float(r["kg dry"]) for r in rows_of(book_of(auditor), "Balance")}
    assert rows["organic", "refined leaf", "downgraded"] > 0
    assert rows["conventional", "powder", "made from the stage before"] == pytest.approx(
        rows["organic", "refined leaf", "downgraded"] + rows["conventional", "refined leaf", "went on into the next stage"], abs=2e-6)


def test_the_page_says_it_and_each_figure_opens_its_entries(auditor: Client, told: factories.Chain, django_assert_max_num_queries: Any) -> None:
    with django_assert_max_num_queries(16):
        answer = auditor.get("/office/balance/", span())
    said = page(answer)
    assert "Fresh leaf, organic" in said
    assert "stands here at the end" in said
    asked = {**span(), "group": "packed tea", "state": "organic", "line": "out"}
    with django_assert_max_num_queries(18):
        opened = page(auditor.get("/office/balance/figure/", asked))
    entry = Flow.objects.filter(step__stage="dispatch")[0].step.entry_id
    assert f"/entry/{entry}/" in auditor.get("/office/balance/figure/", asked).content.decode()
    assert "Going out" in opened


@pytest.mark.parametrize(("asked", "status"), [
    ({"group": "gold", "state": "organic", "line": "out"}, 404), ({"group": "powder", "state": "organic", "line": "x"}, 404), ({}, 404),
])
def test_a_figure_that_no_balance_has(auditor: Client, asked: dict[str, str], status: int) -> None:
    assert auditor.get("/office/balance/figure/", span() | asked).status_code == status


def test_a_period_that_ends_before_it_begins_is_said_in_words(auditor: Client) -> None:
    said = page(auditor.get("/office/balance/", {"first_on": "2026-05-01", "last_on": "2026-04-01"}))
    assert "A period ends after it begins" in said
    assert auditor.get("/office/balance/file/", {"first_on": "2026-05-01", "last_on": "2026-04-01"}).status_code == 404


def test_last_year_stands_beside_this(auditor: Client, told: factories.Chain) -> None:
    after = {"first_on": str(factories.BEGAN.date() + dt.timedelta(days=300)), "last_on": str(factories.BEGAN.date() + dt.timedelta(days=500))}
    rows = rows_of(book_of(auditor, **after), "Balance")
    assert sum(float(r["kg dry, a year before"]) for r in rows) > 0
    stood = sum(float(r["kg dry"]) for r in rows if r["Line"] == "stood here at the beginning")
    assert stood == pytest.approx(sum(float(r["kg dry"]) for r in rows if r["Line"] == "stands here at the end"), abs=1e-5)


def test_a_name_like_a_formula_stays_a_name(auditor: Client, mill: None) -> None:
    factories.FreshLeaf(maker_ref="=1+1")
    row = rows_of(book_of(auditor), "Leaf in")[0]
    assert row["Maker's reference"] == "'=1+1"
    assert Lot.objects.get().maker_ref == "=1+1"


def test_deducted_water_lessens_what_was_received_and_is_not_missing(auditor: Client, mill: None) -> None:
    factories.FreshLeaf(water=Deducted(2_000_000, "dew"))
    rows = {r["Line"]: r for r in rows_of(book_of(auditor), "Balance")}
    dry = 58 * (1 - float(factories.FRESH_W))
    received = float(rows["received: plucked, bought, come back"]["kg dry"])
    assert received == pytest.approx(dry, abs=1e-4)
    assert float(rows["stands here at the end"]["kg dry"]) == pytest.approx(received, abs=2e-6)
    assert float(rows["not explained"]["kg dry"]) == 0


@pytest.mark.parametrize(("role", "stage", "part", "kind", "column"), [
    ("packs", "dispatch", "consignment", "in", Column.OUT), ("sample", "milling", "tub", "lost", Column.SAMPLES),
    ("spill", "drying", "batch", "lost", Column.LOST), ("packs", "removing", "gift", "in", Column.OWN_USE),
    ("own_use", "removing", "take", "lost", Column.OWN_USE), ("brown leaf", "refining", "batch", "lost", Column.LOST),
    ("refined_leaf", "removing", "destroy", "in", Column.LOST), ("refined_leaf", "downgrade", "lower", "in", Column.DOWNGRADED),
])
def test_what_left_is_named_by_its_role_or_its_act(role: str, stage: str, part: str, kind: str, column: Column) -> None:
    at = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
    assert exit_column(Line(1, 1, at, stage, part, kind, role, None, 1, 0.0)) is column


def test_own_use_gifts_destruction_and_downgrades_stand_on_their_own_lines(auditor: Client, mill: None) -> None:
    leaf = factories.RefinedLeaf()
    taken = {name: removing.Taken(leaf.code, factories.kg(mass, "S2")) for name, mass in (("own", "1.00"), ("gift", "0.50"), ("gone", "0.20"), ("low", "2.00"))}
    removing.own_use(Act("C"), taken=taken["own"], why="tasted")
    removing.gift(Act("C"), taken=taken["gift"], recipient="a school")
    removing.destroy(Act("C"), taken=taken["gone"], how="burnt", witness="A")
    removing.downgrade(Act("C"), taken=taken["low"], why="a neighbour sprayed", state="conventional")
    rows = {(r["State"], r["Product group"], r["Line"]): float(r["kg dry"]) for r in rows_of(book_of(auditor), "Balance")}
    dry = 1 - float(factories.REFINED_W)
    found = {line: rows["organic", "refined leaf", line] for line in ("own use and gifts", "lost, with its cause", "downgraded", "not explained")}
    assert found == pytest.approx({"own use and gifts": 1.5 * dry, "lost, with its cause": 0.2 * dry, "downgraded": 2 * dry, "not explained": 0})
    assert rows["conventional", "refined leaf", "stands here at the end"] == pytest.approx(2 * dry)


def test_the_state_of_leaf_is_the_lowest_of_its_sources() -> None:
    own, links = {1: "organic", 2: "in conversion", 3: "organic"}, [(5, 1), (6, 1), (6, 2), (7, 5), (7, 4), (8, 3), (9, 8)]
    found = fold_states(own, {8: "conventional"}, links)
    assert {step: found[step] for step in range(5, 10)} == {
        5: "organic", 6: "in conversion", 7: "conventional", 8: "conventional", 9: "conventional",
    }


def test_bought_leaf_is_organic_under_its_certificate_and_stock_from_before_is_not(auditor: Client, mill: None) -> None:
    day = dt.date.today()  # noqa: DTZ011 - the certificate holds on either side of midnight
    factories.enter("certificate", "G2-ORG", party="G2", kind="organic", number="X-1", issuer="Body", materials="crude_leaf",
                    holds_from_on=day - dt.timedelta(days=200), holds_until_on=day + dt.timedelta(days=200), file_sha256="")
    bought = {"supplier": "G2", "material": "crude_leaf", "moisture": Moisture(factories.CRUDE_W)}
    paper = receiving.Paper("N-1", label_check="agrees", seal="whole")
    receiving.accept(Act("A"), **bought, paper=paper, weighed=factories.kg("20.00", "S2"), supplier_lot="Z1", state="organic")
    receiving.accept(Act("A"), **bought, paper=paper, weighed=factories.kg("5.00", "S2"), supplier_lot="Z2", state="conventional")
    rows = {(r["State"], r["Product group"], r["Line"]): float(r["kg dry"]) for r in rows_of(book_of(auditor), "Balance")}
    dry = 1 - float(factories.CRUDE_W)
    assert rows["organic", "crude leaf", "received: plucked, bought, come back"] == pytest.approx(20 * dry)
    assert rows["conventional", "crude leaf", "received: plucked, bought, come back"] == pytest.approx(5 * dry)
