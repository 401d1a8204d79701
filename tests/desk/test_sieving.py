"""Sieve: tubs through one screen."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Flow, Lot, SievePass
from lots.record.lines import Moisture
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/sieve/"


def sieved(tubs: list[Lot], **other: str) -> dict[str, str]:
    """Two tubs of 0.886 kg."""
    return typed(**{
        "lots": "\r\n".join(tub.code for tub in tubs), "through_mg": "1.756", "oversize_mg": "0.011", "oversize_fate": "mill again",
        "scale": "S3", "small_scale": "S3", "screen": "SC150", **other,
    })


def test_tubs_that_were_scanned_one_after_the_other(clerk: Client) -> None:
    tubs = factories.mill().tubs
    told = written(clerk, URL, sieved(tubs))
    row = SievePass.objects.get()
    assert set(Flow.objects.filter(step=row.step, kind="in").values_list("lot", flat=True)) == {tub.pk for tub in tubs}
    assert (row.screen.code, row.oversize_fate) == ("SC150", "mill again")
    assert "1.756 kg through the screen, 11 g oversize: lot S" in told


def test_a_code_is_taken_in_any_spelling(clerk: Client) -> None:
    tubs = factories.mill().tubs
    spelled = [f"{tub.code[:3]}-{tub.code[3:]}".lower() for tub in tubs]
    written(clerk, URL, sieved(tubs, lots="\n".join(spelled) + "\n\n"))
    assert Flow.objects.filter(step=SievePass.objects.get().step, kind="in").count() == 2


def test_all_tubs_of_a_job(clerk: Client) -> None:
    tubs = factories.mill(job="J26-06").tubs
    assert "2 tubs of this job wait." in clerk.post(f"{URL}live/", sieved([], job="j26-06")).content.decode()
    written(clerk, URL, sieved([], job="j26-06"))
    assert Flow.objects.filter(step=SievePass.objects.get().step, kind="in").count() == len(tubs)


def test_the_tag_of_a_job_among_the_tubs_stands_for_all_of_them(clerk: Client) -> None:
    tubs = factories.mill(job="J26-06").tubs
    assert "2 lots, the last:" in clerk.post(f"{URL}live/", sieved([], lots="J26-06")).content.decode()
    told = sent_twice(clerk, URL, sieved([], lots="j26-06"))
    assert "nothing was written twice" in told
    assert set(Flow.objects.filter(step=SievePass.objects.get().step, kind="in").values_list("lot", flat=True)) == {tub.pk for tub in tubs}


def test_a_job_sent_twice_is_one_pass(clerk: Client) -> None:
    factories.mill(job="J26-06")
    assert "nothing was written twice" in sent_twice(clerk, URL, sieved([], job="J26-06"))
    assert SievePass.objects.count() == 1


def test_a_job_that_has_no_tub_left(clerk: Client) -> None:
    factories.Sieved()
    assert "Job J1 has no tub that is not sieved yet." in refused(clerk, URL, sieved([], job="J1"))


def test_the_same_tub_twice(clerk: Client) -> None:
    tubs = factories.mill().tubs
    assert "stands there twice" in refused(clerk, URL, sieved([tubs[0], tubs[0]]))


def test_a_worn_sign(clerk: Client) -> None:
    assert "No lot M99-ZZZZZZ is in the book" in refused(clerk, URL, sieved([], lots="M99-ZZZZZZ"))


def test_a_link_with_more_lines_than_a_form_takes(clerk: Client) -> None:
    assert clerk.get(f"{URL}?lots=" + "A%0A" * 700).status_code == 200


def test_nothing_scanned(clerk: Client) -> None:
    assert "Scan each tub, or type the number of the job." in refused(clerk, URL, sieved([]))


def test_oversize_has_a_fate(clerk: Client) -> None:
    tubs = factories.mill().tubs
    assert "not decided is an answer" in refused(clerk, URL, sieved(tubs, oversize_fate=""))


def test_a_tub_that_is_used_up_says_so_beside_the_scans(clerk: Client) -> None:
    tubs = factories.mill().tubs
    factories.Sieved(lots=tubs)
    html = clerk.post(URL, sieved(tubs)).content.decode()
    assert "is left in the book" in html[html.index('name="lots"'):html.index('name="through_mg"')]


def test_a_tub_that_was_sieved_before_is_asked_about(clerk: Client) -> None:
    powder = factories.Sieved()
    answer = clerk.post(URL, sieved([powder], through_mg="1.740", oversize_mg="0.009"))
    assert "Scan the label again" in page(answer)
    written(clerk, URL, {
        **sieved([powder], through_mg="1.740", oversize_mg="0.009"), **asked(answer), "act_reason_own": "A stray thread was seen",
    })


def test_while_typing_how_many_tubs_and_what_is_to_find(clerk: Client) -> None:
    tubs, before = factories.mill().tubs, entries()
    html = clerk.post(f"{URL}live/", sieved(tubs)).content.decode()
    assert "2 lots, the last" in html
    assert "1.772 kg go in." in page(clerk.post(f"{URL}live/", sieved(tubs)))
    assert "Adds up so far" in html
    assert entries() == before


def test_a_pass_that_does_not_add_up_is_asked_about(clerk: Client) -> None:
    assert "The sieve lost" in refused(clerk, URL, sieved(factories.mill().tubs, through_mg="1.656"))


def test_tubs_of_several_samples_want_a_moisture(clerk: Client) -> None:
    first, second = factories.mill().tubs, factories.mill(job="J2").tubs
    written(clerk, URL, sieved([*first, *second], through_mg="3.512", oversize_mg="0.022", moisture="4.4", moisture_basis="wet"))
    assert Flow.objects.get(role="sieved_powder").moisture_how == "measured"


def test_the_jobs_that_wait_are_one_press_away(clerk: Client) -> None:
    factories.mill(job="J26-06")
    assert "Job J26-06, 2 tubs." in page(clerk.get(URL))
    assert "?job=J26-06" in clerk.get(URL).content.decode()


def test_the_disk_fails_and_nothing_is_written(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = sieved(factories.mill().tubs)
    broken_off(clerk, URL, fields, monkeypatch)
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Sieved()
    leaf = factories.RefinedLeaf()
    for _ in range(6):
        factories.Load(lot=leaf, job="J9")
        factories.Tub(moisture=Moisture(factories.POWDER_W))
    clerk.get(URL)
    with django_assert_max_num_queries(22):  # type: ignore[operator]
        clerk.get(URL)
