"""What the office looks after: late entries, how long records are kept, purges that are refused, who may enter what."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pytest
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from lots.models import ActKey, Consignment, Opening, PackedUnit, Party, PrivateValue
from lots.quality.authorising import Grant, permitted
from lots.quality.retention import KeepingRule, kept_until, years_after
from lots.read.late import late_entries
from lots.read.period import Span
from lots.record.acts import Act
from lots.record.errors import Refused
from lots.record.forgetting import forget
from lots.scans.openings import purge
from tests import factories
from tests.desk.conftest import Hands, page, typed, written

TODAY = timezone.localdate
DAY = dt.date(2026, 5, 1)


@pytest.fixture
def auditor(hands: Hands) -> Client:
    cache.clear()
    return hands("auditor")


@pytest.fixture
def keeper(hands: Hands) -> Client:
    return hands("administrator")


def rule(code: str, year_count: int, records: str = "all records", since: str = "entry") -> None:
    factories.enter("retention_rule", code, records=records, year_count=year_count, since=since, source=f"law {code}")


# How long --------------------------------------------------------------------------------------------------------------


def test_the_longest_rule_holds() -> None:
    rules = [
        KeepingRule("US", "all records", 2, "entry", ""), KeepingRule("EU", "packs", 5, "entry", ""), KeepingRule("BB", "packs", 1, "best before", ""),
    ]
    kept = kept_until("packs", DAY, None, rules)
    assert kept is not None
    assert (kept.rule.code, kept.until_on) == ("EU", dt.date(2031, 5, 1))
    late = kept_until("packs", DAY, dt.date(2031, 1, 1), rules)
    assert late is not None
    assert (late.rule.code, late.until_on) == ("BB", dt.date(2032, 1, 1))
    field = kept_until("field", DAY, None, rules)
    assert field is not None
    assert field.rule.code == "US"
    assert kept_until("field", DAY, None, []) is None


def test_a_leap_day_loses_none() -> None:
    assert years_after(dt.date(2028, 2, 29), 1) == dt.date(2029, 3, 1)


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_the_page_names_the_rule_and_the_day(auditor: Client) -> None:
    assert "No rule is entered yet." in page(auditor.get("/office/keeping/"))
    factories.chain()
    rule("US", 2)
    rule("EU-ORG", 5, "packs", "best before")
    said = page(auditor.get("/office/keeping/"))
    best = PackedUnit.objects.latest("best_before_on").best_before_on
    assert "law EU-ORG" in said
    assert str(years_after(best, 5)) in said
    entry = PackedUnit.objects.all()[0].step.entry_id
    assert f"{years_after(best, 5)}" in page(auditor.get(f"/entry/{entry}/"))


# Purging ---------------------------------------------------------------------------------------------------------------


def command(*words: str, **options: Any) -> str:
    out = io.StringIO()
    call_command("purge", *words, stdout=out, **options)
    return out.getvalue()


@pytest.mark.django_db
@pytest.mark.usefixtures("mill", "book_holds")
def test_a_person_is_not_erased_before_the_day_and_the_day_is_named() -> None:
    with pytest.raises(CommandError, match="no retention rule"):
        command("person", code="B1")
    factories.Sent(consignee="B1")
    rule("EU", 5)
    with pytest.raises(CommandError, match=str(years_after(TODAY(), 5))):
        command("person", code="B1")
    assert PrivateValue.objects.filter(pk=Party.objects.get(code="B1").name).exists()


@pytest.mark.django_db
@pytest.mark.usefixtures("mill", "book_holds")
def test_after_the_day_name_and_contacts_go_and_every_proof_stays() -> None:
    factories.enter("party_contact", "B1-QA", party="B1", use="quality", person="Ms Sparrow", contact="line 7")
    rule("SHORT", 0)
    assert command("person", code="B1") == "4 rows are gone.\n"
    assert not PrivateValue.objects.filter(pk=Party.objects.get(code="B1").name).exists()
    assert PrivateValue.objects.filter(pk=Party.objects.get(code="B2").name).exists()
    assert command("person", table="staff", code="D") == "1 rows are gone.\n"


@pytest.mark.django_db
@pytest.mark.usefixtures("mill", "book_holds")
def test_openings_and_keys_of_acts() -> None:
    tomorrow = TODAY() + dt.timedelta(days=1)
    Opening.objects.create(run_no=1, pack_no=1, first_at=timezone.now())
    rule("OPEN", 1, "openings")
    with pytest.raises(CommandError, match="by rule OPEN"):
        command("openings", before=tomorrow)
    with pytest.raises(CommandError, match="no retention rule"):
        command("acts", before=tomorrow)
    rule("KEYS", 0, "persons")
    factories.enter("retention_rule", "OPEN", records="openings", year_count=0, since="entry", source="ours")
    assert purge(timezone.now() - dt.timedelta(days=9)) == 0
    assert command("openings", before=tomorrow) == "1 rows are gone.\n"
    assert int(command("acts", before=tomorrow).split()[0]) > 20
    assert not ActKey.objects.exists()
    with pytest.raises(CommandError, match="Say whose"):
        command("person")


@pytest.mark.django_db
@pytest.mark.usefixtures("mill", "book_holds")
def test_a_party_is_not_forgotten_on_request_before_the_day_but_a_buyer_of_single_packs_is() -> None:
    rule("EU", 5)
    factories.Sent(consignee="B1", recipient="Ms Lark, 4 Reed Lane")
    name, lark = Party.objects.get(code="B1").name, Consignment.objects.get().recipient
    with pytest.raises(Refused, match=f"kept until {years_after(TODAY(), 5)}"):
        forget(Act("F"), commitments=[name], why="asked by letter")
    assert PrivateValue.objects.filter(pk=name).exists()
    forget(Act("F"), commitments=[lark], why="asked by letter")
    assert not PrivateValue.objects.filter(pk=lark).exists()


# Late ------------------------------------------------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_late_entries_by_whom_and_how_late(auditor: Client) -> None:
    factories.FreshLeaf(happened_at=timezone.now())
    old = factories.FreshLeaf(happened_at=timezone.now() - dt.timedelta(days=3))
    span = Span(TODAY() - dt.timedelta(days=9), TODAY())
    found = late_entries(span)
    assert [(one.entry, one.late_days, one.badge, one.stage) for one in found] == [(old.step.entry_id, 3, "A", "harvest")]
    said = page(auditor.get("/office/late/", {"first_on": str(span.first_on), "last_on": str(span.last_on)}))
    assert "One entry was written on a later day than it happened. That is 50" in said
    assert "Leaf in" in said


# Who may enter what ----------------------------------------------------------------------------------------------------


def grant(version: int = 1, **other: Any) -> Grant:
    facts = {"stages": frozenset({"milling"}), "in_force_on": DAY, "trained_on": DAY, "until_on": None, "retired": False} | other
    return Grant("A-1", version, "A", trained_by="C", **facts)


@pytest.mark.parametrize(("stage", "days", "other", "may"), [
    ("milling", 0, {}, True), ("milling", -1, {}, False), ("drying", 0, {}, False), ("drying", 0, {"stages": frozenset({"ALL"})}, True),
    ("milling", 30, {"until_on": DAY + dt.timedelta(days=30)}, True), ("milling", 31, {"until_on": DAY + dt.timedelta(days=30)}, False),
    ("milling", 0, {"retired": True}, False),
])
def test_what_an_authorisation_covers(stage: str, days: int, other: dict[str, Any], may: bool) -> None:
    assert permitted([grant(**other)], "A", stage, DAY + dt.timedelta(days=days)) is may
    assert not permitted([grant()], "B", "milling", DAY)


def test_the_version_of_the_day_counts() -> None:
    later = grant(2, in_force_on=DAY + dt.timedelta(days=10), retired=True)
    assert permitted([grant(), later], "A", "milling", DAY + dt.timedelta(days=9))
    assert not permitted([grant(), later], "A", "milling", DAY + dt.timedelta(days=10))


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_entries_by_somebody_without_one_are_marked_not_refused(keeper: Client, auditor: Client) -> None:
    leaf = factories.FreshLeaf(happened_at=timezone.now())
    assert "No authorisation is entered yet" in page(auditor.get("/office/authorisations/"))
    day = str(TODAY() - dt.timedelta(days=400))
    fields = typed(code="C-1", staff="C", stages="ALL", trained_on=day, trained_by="F", valid_until_on=str(TODAY() + dt.timedelta(days=20)))
    assert "C-1 is entered." in written(keeper, "/registers/authorisation/enter/", fields)
    again = factories.FreshLeaf(happened_at=timezone.now())
    said = page(auditor.get("/office/authorisations/"))
    assert "Such entries are marked, not refused." in said
    assert f"/entry/{again.step.entry_id}/" in auditor.get("/office/authorisations/").content.decode()
    assert "every stage" in said
    assert "had no authorisation for: Leaf in" in page(auditor.get(f"/entry/{leaf.step.entry_id}/"))
    cache.clear()
    assert "runs out soon" in page(auditor.get("/"))


@pytest.mark.django_db
@pytest.mark.usefixtures("book_holds")
def test_a_recall_plan_that_nobody_tried_for_a_year_is_said_on_the_first_page(auditor: Client) -> None:
    factories.FreshLeaf()
    factories.enter("recall_team", "LEAD", task="Leads the recall", person="Kei Mori", phone="line 12", deputy="Mio Mori",
                    deputy_phone="line 13", tested_on=TODAY() - dt.timedelta(days=370))
    assert "More than twelve months have passed" in page(auditor.get("/"))
    cache.clear()
    factories.enter("recall_team", "LEAD", task="Leads the recall", person="Kei Mori", tested_on=TODAY())
    assert "Recall plan." not in page(auditor.get("/"))
