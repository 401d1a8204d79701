"""Labels at the desk: four counts that must close, marks beside them, re-prints with a reason."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import LabelCount, LabelReprint, PackedUnit
from tests import factories
from tests.desk.conftest import Hands, asked, broken_off, entries, page, refused, sent_twice, typed, written
from tests.finishing import enter_label

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/tins-and-bags/labels/"


def counts(lot: str, **other: str) -> dict[str, str]:
    return typed(**{
        "lot": lot, "label": "L30", "printed_count": "25", "applied_count": "20", "spoiled_count": "2", "left_count": "3", **other,
    })


@pytest.fixture
def tins(mill: None) -> str:
    enter_label()
    return factories.Packed().code


def test_labels_that_close_stand_on_the_page_of_the_run(hands: Hands, tins: str) -> None:
    step = PackedUnit.objects.get(lot__code=tins).step_id
    assert "Labels were not counted: nothing is said of them." in page(hands("packing").get(f"/tins-and-bags/run/{step}/"))
    told = written(hands("packing"), URL, counts(tins))
    assert "Labels printed 25: on packs 20, spoiled 2, left 3. All are accounted for." in told
    assert "Tins of 30 g, label L30." in told


def test_the_label_of_the_series_is_chosen_by_the_link(clerk: Client, tins: str) -> None:
    html = clerk.get(f"{URL}?lot={tins}").content.decode()
    assert "checked" in html[html.index('value="L30"'):].split(">")[0]


def test_a_difference_is_asked_about_and_shown_with_its_sign(clerk: Client, tins: str) -> None:
    fields = counts(tins, left_count="1")
    said = page(clerk.post(f"{URL}live/", fields))
    assert "Not accounted for: +2." in said
    answer = clerk.post(URL, fields)
    assert "a difference of +2. Count again." in page(answer)
    told = written(clerk, URL, {**fields, **asked(answer), "act_reason": "Counted twice"})
    assert "Not accounted for: +2." in told


def test_marks_are_typed_whole_and_stand_beside_the_packed_mass(clerk: Client, tins: str) -> None:
    assert "Type all four counts of the marks" in refused(clerk, URL, counts(tins, marks_taken_count="20"))
    told = written(clerk, URL, counts(
        tins, marks_taken_count="21", marks_applied_count="20", marks_spoiled_count="1", marks_left_count="0",
    ))
    assert "By marks 0.600 kg of organic tea were packed, by the scale 0.604 kg." in told
    assert LabelCount.objects.get().marks_left_count == 0


def test_words_that_promise_too_much_are_said_while_typing(clerk: Client, tins: str) -> None:
    enter_label("L31", origin_valley="Large valley", origin_claim="whole")
    said = page(clerk.post(f"{URL}live/", counts(tins, label="L31")))
    assert "names Large valley alone" in said


def test_without_a_label_in_the_register_the_page_says_where_to_begin(clerk: Client) -> None:
    assert "No label is in the register yet." in page(clerk.get(URL))


def test_the_words_of_all_labels_are_held_against_their_products(hands: Hands, tins: str) -> None:
    enter_label("L32", net_mg=33_000, claims="best of the valley")
    said = page(hands("auditor").get("/tins-and-bags/label-words/"))
    assert "L30, Powdered green tea, version 1. Checked by Mio Mori" in said
    assert "The label says 33.0 g net, the product holds 30.0 g." in said
    assert "The book cannot show: best of the valley." in said


def test_printed_again_with_a_reason(clerk: Client, tins: str) -> None:
    again = f"{URL}again/"
    assert "Say why, in a few words." in refused(clerk, again, typed(lot=tins, print_count="2"))
    told = written(clerk, again, typed(lot=tins, print_count="2", cause="Smeared"))
    assert "2 labels were printed again, 2 by now." in told
    assert "2 printed again: Smeared." in told
    assert LabelReprint.objects.count() == 1


def test_sent_twice_and_broken_off(clerk: Client, tins: str, monkeypatch: pytest.MonkeyPatch) -> None:
    fields, before = counts(tins), entries()
    broken_off(clerk, URL, fields, monkeypatch)
    assert "nothing was written twice" in sent_twice(clerk, URL, fields)
    assert entries() == before + 1


def test_packaging_lots_with_their_counts_lead_to_a_recall(hands: Hands, tins: str) -> None:
    clerk = hands("clerk")
    assert "How many of TIN-77? Type the count behind it." in refused(clerk, URL, counts(tins, packaging="TIN-77"))
    told = written(clerk, URL, counts(tins, packaging="TIN-77 20", spoiled_packaging="TIN-77 2"))
    assert "packaging TIN-77 . 20 are packs now, 2 were spoiled." in told
    said = page(hands("recall_lead").get("/papers/recall/?packaging=TIN-77"))
    assert "Packaging lot TIN-77: every series that stands in it, 20 packs" in said
    assert tins[:3] in said


def test_packaging_that_should_be_left(hands: Hands, tins: str) -> None:
    from lots.record import receiving
    from lots.record.acts import Act

    auditor = hands("auditor")
    assert "No packaging was taken in yet." in page(auditor.get("/tins-and-bags/packaging/"))
    factories.enter("packaging_item", "TIN", name="Tin of 30 g, green", kind="tin")
    receiving.packaging(Act("A"), item="TIN", supplier="G1", counted_count=30, paper=receiving.Paper(number="N-1"), supplier_lot="TIN-77",
                        happened_at=factories.next_moment())
    written(hands("packing"), URL, counts(tins, packaging="TIN-77 20"))
    assert "paper N-1 : 30 came, 20 were taken, 10 should be left." in page(auditor.get("/tins-and-bags/packaging/"))
