"""Corrections: a figure as the ticket has it, a step that did not happen."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Flow, Lot, Step, Stock
from tests import factories
from tests.desk.conftest import Hands, asked, broken_off, entries, page, refused, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]


def url(step: Step, tail: str = "") -> str:
    return f"/corrections/{step.pk}/{tail}"


def line(lot: Lot) -> Flow:
    return Flow.objects.get(lot=lot, step=lot.step_id, kind="out")


def swapped() -> Lot:
    """7.99 kg of refined leaf were written as 9.79 kg, with a reason."""
    return factories.RefinedLeaf(refined=factories.kg("9.79", "S2"), reason="The paper ticket says so", maker_ref="R26-LT1")


def test_nothing_is_filled_in_and_what_stands_is_said(clerk: Client) -> None:
    lot = swapped()
    html = clerk.get(url(lot.step)).content.decode()
    field = html[html.index(f'name="line_{line(lot).pk}"'):]
    assert "value=" not in field[: field.index(">")]
    assert "9.79 kg stands in the book. Scale S2." in page(clerk.get(url(lot.step)))


def test_what_changes_is_shown_before_it_is_written(clerk: Client) -> None:
    lot, before = swapped(), entries()
    answer = clerk.post(url(lot.step), typed(**{f"line_{line(lot).pk}": "7.99"}))
    said = page(answer)
    assert entries() == before + 0
    assert "Refined leaf, R26-LT1: 9.79 kg becomes 7.99 kg." in said
    assert "<del>9.79" in answer.content.decode()
    assert "<ins>7.99" in answer.content.decode()
    assert "Sorting gave" in said
    assert "Sorting adds up" in said
    assert "It stands so on the ticket" in said


def test_a_correction_is_written_with_its_reason(clerk: Client) -> None:
    lot = swapped()
    fields = typed(**{f"line_{line(lot).pk}": "7.99"})
    answer = clerk.post(url(lot.step), fields)
    told = written(clerk, url(lot.step), {**fields, **asked(answer), "act_reason": "It stands so on the ticket"})
    assert "Corrected: Refined leaf, R26-LT1 7.99 kg." in told
    assert Stock.objects.get(lot=lot).book_mg == 7_990_000
    new = Step.objects.get(stage="correcting")
    assert (new.corrects, new.reason) == (lot.step, "It stands so on the ticket")
    assert "−1.800 kg" in told
    after = page(clerk.get(url(lot.step)))
    assert "7.99 kg stands in the book." in after
    assert "<del>9.79" in clerk.get(url(lot.step)).content.decode()


def test_without_a_reason_nothing_is_written(clerk: Client) -> None:
    lot = swapped()
    fields = typed(**{f"line_{line(lot).pk}": "7.99"})
    answer = clerk.post(url(lot.step), fields)
    assert "Say why it is right" in refused(clerk, url(lot.step), {**fields, **asked(answer)})


def test_nothing_typed_and_nothing_different(clerk: Client) -> None:
    lot = swapped()
    assert "Nothing was typed." in refused(clerk, url(lot.step), typed())
    assert "Nothing is different" in refused(clerk, url(lot.step), typed(**{f"line_{line(lot).pk}": "9.79"}))


def test_while_typing_before_and_after(clerk: Client) -> None:
    lot, before = swapped(), entries()
    said = page(clerk.post(url(lot.step, "live/"), typed(**{f"line_{line(lot).pk}": "7.99"})))
    assert "Before: Sorting gave" in said
    assert "After: Sorting adds up" in said
    assert entries() == before


def test_the_reach_of_a_correction_is_told(clerk: Client) -> None:
    whole = factories.chain()
    said = page(clerk.get(url(whole.crude.step)))
    assert "27 packs and 1 consignment" in said


def test_a_correction_sent_twice(clerk: Client) -> None:
    lot = swapped()
    fields = typed(**{f"line_{line(lot).pk}": "7.99"})
    answer = clerk.post(url(lot.step), fields)
    full = {**fields, **asked(answer), "act_reason": "Digits were swapped"}
    written(clerk, url(lot.step), full)
    before = entries()
    again = clerk.post(url(lot.step), full)
    assert again.status_code == 303
    assert entries() == before
    assert Step.objects.filter(stage="correcting").count() == 1


def test_a_correction_that_broke_off(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = swapped()
    fields = typed(**{f"line_{line(lot).pk}": "7.99"})
    full = {**fields, **asked(clerk.post(url(lot.step), fields)), "act_reason": "Digits were swapped"}
    broken_off(clerk, url(lot.step), full, monkeypatch)
    assert Stock.objects.get(lot=lot).book_mg == 9_790_000
    assert "Corrected" in written(clerk, url(lot.step), full)


def test_the_charge_of_a_run_is_corrected(clerk: Client) -> None:
    milled = factories.mill()
    charge = Flow.objects.get(step=milled.run, kind="in")
    fields = typed(**{f"line_{charge.pk}": "0.890"})
    answer = clerk.post(url(milled.run), fields)
    assert "Into it, charge of" in page(answer)
    assert "The stones add up" in page(answer)
    written(clerk, url(milled.run), {**fields, **asked(answer), "act_reason": "It stands so on the ticket"})


def test_a_step_that_did_not_happen(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    there = url(crude.step, "did-not-happen/")
    answer = clerk.post(there, typed())
    assert "did not happen? Its lots are then empty" in page(answer)
    fields = typed()
    answer = clerk.post(there, fields)
    told = written(clerk, there, {**fields, **asked(answer), "act_reason": "It was written down twice"})
    assert "is taken back: it did not happen." in told
    assert Stock.objects.get(lot=crude).book_mg == 0
    assert "This step was taken back already." in page(clerk.get(there))


def test_what_somebody_used_is_not_taken_back(clerk: Client) -> None:
    crude = factories.CrudeLeaf()
    factories.RefinedLeaf(lot=crude)
    there, fields = url(crude.step, "did-not-happen/"), typed()
    answer = clerk.post(there, fields)
    assert "was used already" in refused(clerk, there, {**fields, **asked(answer), "act_reason_own": "Twice"})


def test_the_steps_of_a_lot_are_found(clerk: Client) -> None:
    lot = swapped()
    said = page(clerk.get("/corrections/?code=r26-lt1"))
    assert "What happened to R26-LT1" in said
    assert f"/corrections/{lot.step_id}/" in clerk.get("/corrections/?code=r26-lt1").content.decode()
    assert "No lot R99 is in the book." in page(clerk.get("/corrections/?code=R99"))


def test_who_only_reads_is_not_sent_to_a_page_that_does_not_open(hands: Hands) -> None:
    lot = swapped()
    html = hands("auditor").get(f"/corrections/?code={lot.code}").content.decode()
    assert "What happened to R26-LT1" in html
    assert f"/corrections/{lot.step_id}/" not in html
    factories.chain(job="J2")
    assert "/corrections/" not in html.split("<footer")[0].split("<main")[1]
    assert ">Correct<" not in hands("recall_lead").get("/going-out/").content.decode()


def test_there_is_no_such_step(clerk: Client) -> None:
    assert clerk.get("/corrections/999/").status_code == 404
    assert clerk.get(f"/corrections/{10**30}/").status_code == 404
    lot = swapped()
    correction = factories.correcting.adjust(
        factories.Act("A", reason="Digits were swapped"), step=lot.step_id, masses_mg={line(lot).pk: 7_990_000}
    )
    assert clerk.get(f"/corrections/{correction.step}/").status_code == 404


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    whole = factories.chain()
    clerk.get("/corrections/")
    with django_assert_max_num_queries(18):  # type: ignore[operator]
        clerk.get(f"/corrections/?code={whole.refined.code}")
    with django_assert_max_num_queries(16):  # type: ignore[operator]
        clerk.get(url(whole.refined.step))
