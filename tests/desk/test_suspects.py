"""The entry that would explain what does not add up: on the page of all balances, on one balance's page, and as a file; then it is corrected."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.exchange.demo import load_demo
from lots.models import Flow, Step
from lots.read.balances import nodes
from lots.read.suspected import suspected
from lots.read.verifying import verify_book
from lots.record import correcting
from lots.record.acts import Act
from tests.desk.conftest import page
from tests.factories import hand


@pytest.fixture(scope="module")
def demo_book(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    fixtures = Path(settings.BASE_DIR) / "fixtures"
    with django_db_blocker.unblock(), transaction.atomic():
        assert load_demo(fixtures / "demo_season.json", fixtures / "demo_desk.json")
        yield
        transaction.set_rollback(True)


@pytest.fixture
def quality(demo_book: None, db: None) -> Client:
    client = Client()
    client.force_login(hand("quality"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def said_by(answer: Any) -> str:
    """A page's text; codes stand in spans of their own, before a comma too."""
    return re.sub(r" ([,:;.])", r"\1", page(answer))


def sorting_of_the_swapped_lot() -> Step:
    return Step.objects.get(stage="refining", part="batch", flows__role="refined_leaf", flows__lot__maker_ref="R26-SG1")


def test_the_list_names_the_one_entry(quality: Client) -> None:
    said = said_by(quality.get("/balance/"))
    seq = sorting_of_the_swapped_lot().entry_id
    assert f"Refined leaf of R26-SG1: 43.69 kg stands in entry {seq}; 46.39 kg (two digits changed places) closes both." in said
    assert "Look at the paper ticket. Nothing has been changed." in said


def test_the_page_of_the_balance_leads_to_the_correction(quality: Client) -> None:
    step = sorting_of_the_swapped_lot()
    answer = quality.get(f"/balance/{step.pk}/")
    said = said_by(answer)
    assert "One explanation closes everything that it touches." in said
    assert "R26-SG1, sorting: 8.7 times the usual scatter from the usual now, 0.9 times the usual scatter then" in said
    assert f'href="/corrections/{step.pk}/"' in answer.content.decode()


def test_leaf_that_stayed_behind_names_the_left_over_that_was_typed(quality: Client) -> None:
    run = Step.objects.get(stage="milling", part="load", millingrun__job="J26-05", millingrun__pair__code="SP5")
    said = said_by(quality.get(f"/balance/{run.pk}/"))
    assert "0.303 kg dry, give or take 0.022 kg, went from J26-05 SP5 into J26-06 SP5: that closes both." in said
    assert "As left-over, 0.000 kg stands in entry" in said


def test_the_file_holds_exactly_the_planted_faults(demo_book: None, db: None) -> None:
    """Faults and figures of the demo season: one ticket with 46.39 typed as 43.69, and 0.301 kg of dry leaf carried over (± 0.022)."""
    out, err = io.StringIO(), io.StringIO()
    call_command("export_findings", stdout=out, stderr=err)
    swapped, carried = json.loads(out.getvalue())
    assert err.getvalue().strip() == "2 findings."
    assert (swapped["unique"], swapped["explanation"]["kind"]) == (True, "digits swapped")
    assert (swapped["explanation"]["value_read_mg"], swapped["explanation"]["value_proposed_mg"]) == (43_690_000, 46_390_000)
    assert {step["stage"] for step in swapped["steps"]} == {"refining", "counting"}
    assert (carried["unique"], carried["explanation"]["kind"]) == (True, "left-over carried into the next job")
    assert carried["explanation"]["estimate_mg"] == pytest.approx(301_300, abs=22_000)
    assert carried["explanation"]["u_estimate_mg"] == pytest.approx(22_000, abs=500)
    assert all(abs(closed["z_after"]) < 1.3 for one in (swapped, carried) for closed in one["explanation"]["closes"])


def test_after_the_correction_only_the_other_fault_is_left(quality: Client) -> None:
    step = sorting_of_the_swapped_lot()
    line = Flow.objects.get(step=step, role="refined_leaf")
    with transaction.atomic():
        correcting.adjust(Act("C", reason="it stands so on the ticket"), step=step.pk, masses_mg={line.pk: 46_390_000})
        found = suspected(nodes())
        assert [[p.kind.value for p in one.proposals] for one in found] == [["left-over carried into the next job"]]
        assert verify_book() == []
        transaction.set_rollback(True)


def test_the_second_look_asks_the_book_less(quality: Client) -> None:
    judged = nodes()
    suspected(judged)
    with CaptureQueriesContext(connection) as again:
        suspected(judged)
    assert len(again) == 1
