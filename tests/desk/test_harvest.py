"""Leaf in, as a clerk at the scale does it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import Flow, HarvestBag, HarvestFlush, Hold, Lot
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
URL = "/leaf-in/"


def slip(**other: str) -> dict[str, str]:
    return typed(**{
        "plot": "p1", "bag_count": "17", "fresh_mg": "331,40", "moisture": "80.3", "moisture_basis": "wet", "scale": "S1",
        "plucked_on": timezone.localdate().isoformat(), **other,
    })


def test_a_delivery_is_taken_in(clerk: Client) -> None:
    told = written(clerk, URL, slip())
    lot = Lot.objects.get(material="fresh_leaf")
    flush = HarvestFlush.objects.get()
    line = Flow.objects.get(lot=lot)
    assert (flush.plot.code, flush.cultivar.code, flush.flush_no, flush.bag_count) == ("P1", "Saemidori", 1, 17)
    assert (line.mass_mg, line.reading_count, line.scale.code) == (331_400_000, 17, "S1")
    assert str(line.moisture_frac) == "0.80300"
    assert "331.40 kg of fresh leaf in 17 bags" in told
    assert f"{lot.code[:3]}-{lot.code[3:]}" in told


def test_the_form_is_empty_again_and_the_pen_is_in_the_scan_line(clerk: Client) -> None:
    answer = clerk.post(URL, slip())
    html = clerk.get(answer.url).content.decode()
    assert 'name="fresh_mg"' in html
    assert "331,40" not in html
    line = html[html.index('name="plot"'):][:600]
    assert "autofocus" in line
    assert "Last time 331.40." in page(clerk.get(URL))


def test_dry_basis_is_said_and_kept(clerk: Client) -> None:
    written(clerk, URL, slip(moisture="400", moisture_basis="dry"))
    assert str(Flow.objects.get().moisture_frac) == "0.80000"
    assert HarvestFlush.objects.get().basis == "dry"


def test_four_hundred_per_100_wet_cannot_be(clerk: Client) -> None:
    assert "Did you mean per 100 dry?" in refused(clerk, URL, slip(moisture="400"))


def test_the_basis_is_asked_for(clerk: Client) -> None:
    fields = slip()
    del fields["moisture_basis"]
    assert "per 100 wet or per 100 dry" in refused(clerk, URL, fields)


def test_what_was_typed_stays_beside_the_fault(clerk: Client) -> None:
    answer = clerk.post(URL, slip(bag_count=""))
    html = answer.content.decode()
    assert 'value="331,40"' in html
    assert 'value="p1"' in html
    assert "<title>Error:" in html


def test_a_plot_that_nobody_knows(clerk: Client) -> None:
    assert "P9 is not in the register of plots" in refused(clerk, URL, slip(plot="P9"))


def test_bags_of_one_kilogram_are_asked_about_once(clerk: Client) -> None:
    fields = slip(fresh_mg="17.00")
    answer = clerk.post(URL, fields)
    assert "1.0 kg a bag. Look at the slip again." in page(answer)
    assert "Type again" in page(answer)
    assert entries() == Lot.objects.count() + entries()
    told = written(clerk, URL, {**fields, **asked(answer), "act_reason": "Weighed again, the same figure"})
    assert "17.00 kg of fresh leaf" in told
    step = Flow.objects.get().step
    assert step.reason == "Weighed again, the same figure"
    assert "1.0 kg a bag" in step.questioned


def test_an_answer_belongs_to_its_question_only(clerk: Client) -> None:
    answer = clerk.post(URL, slip(fresh_mg="17.00"))
    other = {**slip(fresh_mg="16.00"), **asked(answer), "act_reason": "Weighed again, the same figure"}
    assert "0.9 kg a bag" in refused(clerk, URL, other)


def test_a_question_needs_a_reason(clerk: Client) -> None:
    fields = slip(fresh_mg="17.00")
    answer = clerk.post(URL, fields)
    assert "Say why it is right" in refused(clerk, URL, {**fields, **asked(answer)})


def test_leaf_plucked_before_its_day_is_asked_about(clerk: Client) -> None:
    factories.Treated(applied_on=timezone.localdate() - dt.timedelta(days=3), happened_at=timezone.now())
    assert "it may be plucked from" in refused(clerk, URL, slip())


def test_two_cultivars_on_a_plot_are_told_apart_by_hand(clerk: Client) -> None:
    factories.enter("planting", "P1b", plot="P1", cultivar="Okuyutaka", area_a=Decimal(1))
    assert "Saemidori and Okuyutaka stand on plot P1. Choose the one that was plucked." in refused(clerk, URL, slip())
    written(clerk, URL, slip(cultivar="Okuyutaka"))
    assert HarvestFlush.objects.get().cultivar.code == "Okuyutaka"


def test_the_card_says_what_the_book_knows(clerk: Client) -> None:
    factories.Covered(covered_on=timezone.localdate() - dt.timedelta(days=23), happened_at=timezone.now())
    factories.Treated(applied_on=timezone.localdate() - dt.timedelta(days=20), happened_at=timezone.now())
    said = page(clerk.get(f"{URL}?plot=P1"))
    assert "Lantern Terrace, 9.0 a, Kawasemi household, Saemidori, organic." in said
    assert "Covered for 23 days." in said
    assert "May be plucked since" in said


@pytest.mark.parametrize("link", ["plot=%00", "plot=" + "x" * 900, "plot=%F0%9F%8D%B5", "plot=P1&bag_count=17", "nothing=1"])
def test_a_link_that_says_nonsense(clerk: Client, link: str) -> None:
    answer = clerk.get(f"{URL}?{link}")
    assert answer.status_code == 200
    assert "Leaf in" in page(answer)


def test_while_typing_the_bags_are_told(clerk: Client) -> None:
    before = entries()
    said = clerk.post(f"{URL}live/", slip()).content.decode()
    assert "17 bags of 19.5" in said
    assert "368.2 kg per 10 a" in said
    assert entries() == before


def test_one_more_bag_than_the_scale_can_weigh(clerk: Client) -> None:
    assert "more than" in refused(clerk, URL, slip(bag_count="2", fresh_mg="331.40"))


def test_the_second_round_counts_by_itself(clerk: Client) -> None:
    plucked = timezone.localtime() - dt.timedelta(days=47)
    factories.FreshLeaf(plucked_on=plucked.date(), happened_at=plucked)
    written(clerk, URL, slip())
    assert HarvestFlush.objects.order_by("-pk")[0].flush_no == 2


def test_the_house_gives_its_own_number_once(clerk: Client) -> None:
    written(clerk, URL, slip(maker_ref="H26-LT1"))
    assert Lot.objects.get().maker_ref == "H26-LT1"
    assert "Lot h26-lt1 is in the book already" in refused(clerk, URL, slip(maker_ref="h26-lt1"))


def test_the_answer_was_lost_and_it_is_sent_again(clerk: Client) -> None:
    told = sent_twice(clerk, URL, slip(maker_ref="H26-LT1"))
    assert "nothing was written twice" in told
    assert Lot.objects.count() == 1


def test_the_same_page_with_another_figure_is_refused(clerk: Client) -> None:
    fields = slip()
    written(clerk, URL, fields)
    assert "sent before with other content" in refused(clerk, URL, {**fields, "fresh_mg": "331.50"})


def test_the_disk_fails_and_nothing_is_written(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = slip()
    broken_off(clerk, URL, fields, monkeypatch)
    assert Lot.objects.count() == 0
    assert "Entry" in written(clerk, URL, fields)


def test_a_page_that_lost_its_id_is_sent_once_more(clerk: Client) -> None:
    fields = slip()
    del fields["act_id"]
    answer = clerk.post(URL, fields)
    assert "lost the number of its entry" in page(answer)
    written(clerk, URL, {**fields, **asked(answer)})


def test_somebody_without_a_badge_writes_nothing(clerk: Client) -> None:
    factories.enter("staff", "A", name="Hana Mori", login="")
    assert "hana has no badge in the register of staff" in refused(clerk, URL, slip())


def test_the_scale_of_the_station_is_remembered(clerk: Client) -> None:
    assert 'value="S1" checked' in clerk.get(URL).content.decode()
    written(clerk, URL, slip(scale="S2", bag_count="17"))
    assert 'value="S2" checked' in clerk.get(URL).content.decode()


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    for _ in range(3):
        factories.FreshLeaf()
    clerk.get(URL)
    with django_assert_max_num_queries(22):  # type: ignore[operator]
        clerk.get(f"{URL}?plot=P1")


BAGS = "/leaf-in/bags/"


def bags(rows: str = "19.50\n20.10\n18.40\n", **other: str) -> dict[str, str]:
    return typed(**{
        "plot": "p1", "bags_mg": rows, "moisture": "80.3", "moisture_basis": "wet", "scale": "S1",
        "plucked_on": timezone.localdate().isoformat(), **other,
    })


def test_a_delivery_is_taken_in_bag_by_bag(clerk: Client) -> None:
    told = written(clerk, BAGS, bags())
    assert "58.00 kg of fresh leaf in 3 bags" in told
    assert list(HarvestBag.objects.order_by("bag_no").values_list("mass_mg", flat=True)) == [19_500_000, 20_100_000, 18_400_000]
    assert Flow.objects.get().reading_count == 3


def test_while_bags_are_typed_sum_count_mean_and_yield_are_told(clerk: Client) -> None:
    said = page(clerk.post(f"{BAGS}live/", bags("19.50\n20.10\n9.00\n")))
    assert "48.60 kg in 3 bags, 16.2 kg each on average." in said
    assert "Bag 3 of 9.00 kg is far off the others." in said
    assert "54.0 kg per 10 a" in said


def test_a_bag_that_cannot_be_read_is_named(clerk: Client) -> None:
    assert "Bag 2:" in refused(clerk, BAGS, bags("19.50\n20.l0\n"))
    assert "Bag 2:" in refused(clerk, BAGS, bags("19.50\n250.00\n"))
    assert "No bag was typed" in refused(clerk, BAGS, bags(""))


def test_an_odd_bag_is_asked_about_once_and_then_taken(clerk: Client) -> None:
    fields = bags("19.50\n20.10\n9.00\n18.80\n")
    answer = clerk.post(BAGS, fields)
    assert "Bag 3 of 9.00 kg is far off the others. Weigh it again." in page(answer)
    assert "67.40 kg" in written(clerk, BAGS, {**fields, **asked(answer), "act_reason": "Weighed again, the same figure"})


def test_deducted_water_needs_its_reason_and_is_told(clerk: Client) -> None:
    assert "Say why water is deducted" in refused(clerk, BAGS, bags(water_mg="1.20"))
    assert "How many kilograms of water" in refused(clerk, BAGS, bags(water_reason="dew"))
    told = written(clerk, BAGS, bags(water_mg="1.20", water_reason="dew on the leaf"))
    assert "1.20 kg of water deducted: dew on the leaf." in told
    lot = Lot.objects.get()
    assert lot.mass_mg == 58_000_000
    said = page(clerk.get(f"/lot/{lot.code}/"))
    assert "Water deducted, not leaf" in said
    assert "dew on the leaf" in said


def test_who_plucked_how_and_who_brought_it(clerk: Client) -> None:
    fields = bags(team="Ume, Sora", method="two-man cutter", leaf_wet="wet", plucked_until="0:00-0:01", carrier="V1")
    assert "is not a time" in refused(clerk, BAGS, bags(plucked_until="noon"))
    written(clerk, BAGS, fields)
    row = HarvestFlush.objects.get()
    assert (row.method, row.leaf_wet, row.carrier.code) == ("two-man cutter", True, "V1")
    hours = [timezone.localtime(at).strftime("%H:%M") for at in (row.plucked_from_at, row.plucked_until_at)]
    assert hours == ["00:00", "00:01"]
    assert "run the other way" in refused(clerk, BAGS, bags(plucked_until="0:01 0:00"))
    assert "Ume" not in row.team


def test_leaf_that_came_too_early_is_taken_and_the_page_says_that_it_is_held(clerk: Client) -> None:
    factories.Treated(applied_on=timezone.localdate() - dt.timedelta(days=3), happened_at=timezone.now())
    assert "Leaf that is plucked earlier is held" in page(clerk.get(f"{BAGS}?plot=P1"))
    fields = bags()
    answer = clerk.post(BAGS, fields)
    told = written(clerk, BAGS, {**fields, **asked(answer), "act_reason": "The pickers had gone out"})
    assert "The lot is held: it was plucked too early." in told
    assert Hold.objects.get().lot == Lot.objects.get()


def test_bags_sent_twice_are_one_delivery(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = bags()
    broken_off(clerk, BAGS, fields, monkeypatch)
    assert "nothing was written twice" in sent_twice(clerk, BAGS, fields)
    assert HarvestBag.objects.count() == 3


def test_the_page_of_the_lot_says_how_long_it_was_shaded(clerk: Client) -> None:
    factories.Covered(covered_on=timezone.localdate() - dt.timedelta(days=30), happened_at=timezone.now())
    factories.Covered(covered_on=timezone.localdate() - dt.timedelta(days=20), uncovered_on=timezone.localdate(), happened_at=timezone.now())
    written(clerk, BAGS, bags())
    assert "fresh leaf; under cover for 30 days" in page(clerk.get(f"/lot/{Lot.objects.get().code}/"))
