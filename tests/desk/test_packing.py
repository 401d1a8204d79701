"""Tins and bags: a packing run closes labels and kilograms."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Flow, Lot, PackedUnit
from tests import factories
from tests.desk.conftest import broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/tins-and-bags/"


def packed(powder: Lot, **other: str) -> dict[str, str]:
    """1.756 kg of powder: 20 tins, 5 bags, 2 kept tins, the rest in bulk."""
    return typed(**{
        "lots": powder.code, "count_T30": "20", "mass_T30": "0.604", "count_B100": "5", "mass_B100": "0.501", "kept_count": "2",
        "kept_mg": "0.060", "kept_product": "T30", "bulk_mg": "0.584", "scale": "S3", "filler": "FILL1", "packed_on": str(factories.today()),
        **other,
    })


def test_a_run_of_tins_bags_and_kept_samples(hands: object) -> None:
    packing = hands("packing")  # type: ignore[operator]
    told = written(packing, URL, packed(factories.Sieved(), maker_ref="K26-06"))
    series = PackedUnit.objects.order_by("first_no")
    assert [(u.product.code, u.first_no, u.last_no, u.retained) for u in series] == [
        ("B100", 1, 5, False), ("T30", 6, 25, False), ("T30", 26, 27, True),
    ]
    assert Flow.objects.get(role="bulk_powder").mass_mg == 584_000
    assert "Packed: 5 packs, lot K" in told
    assert Lot.objects.filter(maker_ref="K26-06").count() == 3


def test_tins_without_a_mass_and_a_mass_without_tins(clerk: Client) -> None:
    powder = factories.Sieved()
    assert "What do these packs weigh together?" in refused(clerk, URL, packed(powder, mass_T30=""))
    assert "How many packs are that?" in refused(clerk, URL, packed(powder, count_T30=""))


def test_no_packs_at_all(clerk: Client) -> None:
    nothing = dict.fromkeys(("count_T30", "mass_T30", "count_B100", "mass_B100", "kept_count", "kept_mg"), "")
    assert "No packs were typed. How many were filled?" in refused(clerk, URL, packed(factories.Sieved(), **nothing))


def test_bulk_is_typed_also_when_there_is_none(clerk: Client) -> None:
    assert "0 if there is none" in refused(clerk, URL, packed(factories.Sieved(), bulk_mg=""))


def test_spoiled_packs_are_a_loss_with_a_name(clerk: Client) -> None:
    written(clerk, URL, packed(factories.Sieved(), bulk_mg="0.554", lost_mg="0.030", lost_as="spoiled"))
    assert Flow.objects.get(kind="lost").role == "spoiled"


def test_damp_gas_and_oxygen_stand_on_the_page_of_the_run(clerk: Client) -> None:
    written(clerk, URL, packed(factories.Sieved(), room_rh="38", gas="nitrogen", oxygen="1.2"))
    said = page(clerk.get(f"/tins-and-bags/run/{PackedUnit.objects.first().step_id}/"))
    assert "Room at 38 % relative humidity, packs closed with nitrogen, oxygen left 1.2 %." in said


def test_packs_that_do_not_add_up_are_asked_about(clerk: Client) -> None:
    assert "Packing lost" in refused(clerk, URL, packed(factories.Sieved(), bulk_mg="0.384"))


def test_the_day_is_a_day(clerk: Client) -> None:
    assert "is not a day" in refused(clerk, URL, packed(factories.Sieved(), packed_on="yesterday"))


def test_while_typing_the_mean_of_a_tin(clerk: Client) -> None:
    powder, before = factories.Sieved(), entries()
    said = page(clerk.post(f"{URL}live/", packed(powder)))
    assert "Tins of 30 g: 30.20 g each, the label says 30 g." in said
    assert "Adds up so far" in said
    assert entries() == before


def test_half_a_run_sent_twice_is_one_run(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, URL, packed(factories.Sieved(), maker_ref="K26-06"))
    assert PackedUnit.objects.count() == 3


def test_the_disk_fails_and_nothing_is_written(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = packed(factories.Sieved())
    broken_off(clerk, URL, fields, monkeypatch)
    assert PackedUnit.objects.count() == 0
    assert "Entry" in written(clerk, URL, fields)


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Packed()
    clerk.get(URL)
    with django_assert_max_num_queries(22):  # type: ignore[operator]
        clerk.get(URL)
