"""Stones: the wall, charging, taking tubs off, ending a run, dressing."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import Flow, Lot, MillingClose, MillingRun, MillingTub, StonePair
from lots.record.lines import Moisture
from tests import factories
from tests.desk.conftest import asked, broken_off, entries, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
WALL, LOAD, TUB, END, DRESS = "/stones/", "/stones/charge/", "/stones/tub/", "/stones/end/", "/stones/dressing/"


def charged(hours_ago: float = 22, pair: str = "SP1", lot: Lot | None = None, job: str = "J26-06") -> None:
    at = timezone.now().replace(microsecond=0) - dt.timedelta(hours=hours_ago)
    factories.Load(pair=pair, lot=lot or factories.RefinedLeaf(), job=job, happened_at=at)


def tub(**other: str) -> dict[str, str]:
    return typed(**{"pair": "sp1", "tub_mg": "0.886", "scale": "S3", **other})


# Charging


def test_a_charge_opens_a_run(clerk: Client) -> None:
    leaf = factories.RefinedLeaf(maker_ref="R26-LT1")
    told = written(clerk, LOAD, typed(pair="SP1", lot="r26-lt1", charge_mg="0.880", job="J26-06", scale="S3"))
    run = MillingRun.objects.get()
    assert (run.pair.code, run.job, Flow.objects.get(step=run.step).lot) == ("SP1", "J26-06", leaf)
    assert "0.880 kg of r26-lt1 into pair SP1." in told


def test_a_charge_without_a_job_joins_the_one_in_which_other_pairs_mill_this_leaf(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    charged(pair="SP2", lot=leaf, job="J26-06")
    form = typed(pair="SP1", lot=leaf.code, charge_mg="0.880", scale="S3")
    assert "it goes into their job" in clerk.post(f"{LOAD}live/", form).content.decode()
    told = sent_twice(clerk, LOAD, form)
    assert "nothing was written twice" in told
    assert set(MillingRun.objects.values_list("pair__code", "job")) == {("SP1", "J26-06"), ("SP2", "J26-06")}


def test_a_charge_without_a_job_joins_none_where_it_is_not_sure(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    other = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2")))
    charged(pair="SP2", lot=other, job="J26-06")
    written(clerk, LOAD, typed(pair="SP1", lot=leaf.code, charge_mg="0.880", scale="S3"))
    assert MillingRun.objects.get(pair__code="SP1").job == ""


def test_a_second_charge_tops_up(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    charged(lot=leaf)
    written(clerk, LOAD, typed(pair="SP1", lot=leaf.code, charge_mg="0.400", job="", scale="S3"))
    assert MillingRun.objects.count() == 1


def test_another_job_is_refused_beside_its_line(clerk: Client) -> None:
    charged()
    said = refused(clerk, LOAD, typed(pair="SP1", lot=Lot.objects.get(material="refined_leaf").code, charge_mg="0.4", job="J9", scale="S3"))
    assert "Pair SP1 is still running job J26-06" in said


def test_another_leaf_on_top_is_asked_about(clerk: Client) -> None:
    charged()
    other = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2")))
    assert "every tub from now on would hold both" in refused(clerk, LOAD, typed(pair="SP1", lot=other.code, charge_mg="0.4", scale="S3"))


def test_a_charge_sent_twice_and_one_that_broke_off(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    leaf = factories.RefinedLeaf()
    fields = typed(pair="SP1", lot=leaf.code, charge_mg="0.880", job="J26-06", scale="S3")
    broken_off(clerk, LOAD, fields, monkeypatch)
    assert MillingRun.objects.count() == 0
    assert "nothing was written twice" in sent_twice(clerk, LOAD, fields)
    assert MillingRun.objects.count() == 1


# Tubs


def test_a_tub_is_taken_off_with_one_number(clerk: Client) -> None:
    charged()
    told = written(clerk, TUB, tub())
    row, line = MillingTub.objects.get(), Flow.objects.get(role="tub_powder")
    assert (line.mass_mg, row.ground_h) == (886_000, Decimal("22.00"))
    assert "0.886 kg off pair SP1: tub M" in told
    assert "40.3 g/h over 22.0 hours." in told
    assert "Moisture not measured yet in this job." in told
    assert "Badge A." in told


def test_gross_and_tare(clerk: Client) -> None:
    charged()
    told = written(clerk, TUB, tub(tub_mg="1.498", tare_mg="0.612"))
    assert Flow.objects.get(role="tub_powder").mass_mg == 886_000
    assert "Gross 1.498 kg, tare 0.612 kg." in told


def test_an_empty_tub_that_weighs_more_than_the_full_one(clerk: Client) -> None:
    charged()
    assert "cannot weigh as much as the full one" in refused(clerk, TUB, tub(tare_mg="0.900"))


def test_the_moisture_is_measured_once_in_a_job(clerk: Client) -> None:
    charged()
    assert "4.4 % moisture, wet basis, measured on this tub." in written(clerk, TUB, tub(moisture="4.4", moisture_basis="wet"))
    leaf = Lot.objects.get(material="refined_leaf")
    charged(pair="SP2", lot=leaf)
    told = written(clerk, TUB, tub(pair="SP2"))
    assert "4.4 % moisture, wet basis, measured on another tub of the job." in told
    samples = set(Flow.objects.filter(role="tub_powder").values_list("sample", flat=True))
    assert len(samples) == 1


def test_typed_hours_win_over_the_clock(clerk: Client) -> None:
    charged()
    written(clerk, TUB, tub(ground_h="21:30"))
    assert MillingTub.objects.get().ground_h == Decimal("21.50")


def test_the_clock_begins_at_the_last_tub_or_the_charge_after_it(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    charged(46, lot=leaf)
    factories.Tub(happened_at=timezone.now() - dt.timedelta(hours=24))
    charged(22, lot=leaf)
    written(clerk, TUB, tub())
    assert MillingTub.objects.order_by("-pk")[0].ground_h == Decimal("22.00")


def test_eight_kilograms_an_hour_are_asked_about(clerk: Client) -> None:
    charged(1)
    fields = tub()
    answer = clerk.post(TUB, fields)
    assert "g an hour. Look at the scale and the clock again." in page(answer)
    written(clerk, TUB, {**fields, **asked(answer), "act_reason_own": "Two tubs in one"})


def test_an_idle_pair_has_no_tub(clerk: Client) -> None:
    assert "Pair SP1 stands idle" in refused(clerk, TUB, tub())


def test_while_typing_the_rate_is_told(clerk: Client) -> None:
    charged()
    before = entries()
    said = page(clerk.post(f"{TUB}live/", tub(moisture="4.4", moisture_basis="wet")))
    assert "40.3 g per hour over 22.0 hours by the clock, since" in said
    assert "122 hours since dressing." in said or "100 hours since dressing." in said
    assert "Adds up so far" in said
    html = clerk.post(f"{TUB}live/", tub()).content.decode()
    assert 'Pair 1, job <span class="num">J26-06</span>, no tub off yet. Leaf' in html[html.index("data-read-for"):]
    assert entries() == before


def test_the_link_of_a_pair_fills_its_tag(clerk: Client) -> None:
    charged()
    html = clerk.get(f"{TUB}?pair=SP1").content.decode()
    assert 'value="SP1"' in html
    assert "Pair 1, job J26-06 , no tub off yet. Leaf R" in page(clerk.get(f"{TUB}?pair=SP1"))


def test_last_time_stands_beside_the_weight_which_is_empty(clerk: Client) -> None:
    charged()
    factories.Tub()
    html = clerk.get(TUB).content.decode()
    assert "Last time 0.886." in page(clerk.get(TUB))
    line = html[html.index('name="tub_mg"'):]
    assert "value=" not in line[: line.index(">")]


def test_a_tub_whose_answer_was_lost_is_one_tub(clerk: Client) -> None:
    charged()
    fields = tub(moisture="4.4", moisture_basis="wet")
    assert "nothing was written twice" in sent_twice(clerk, TUB, fields)
    assert MillingTub.objects.count() == 1


def test_a_tub_by_the_clock_that_is_sent_again_after_the_run_was_ended(clerk: Client) -> None:
    charged()
    fields = tub()
    clerk.post(TUB, fields)
    factories.Closed(reason="Nothing was measured")
    before = entries()
    answer = clerk.post(TUB, fields)
    assert answer.status_code == 303
    assert entries() == before
    assert MillingTub.objects.count() == 1


def test_a_tub_that_broke_off(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    charged()
    fields = tub()
    broken_off(clerk, TUB, fields, monkeypatch)
    assert MillingTub.objects.count() == 0
    written(clerk, TUB, fields)


# The end of a run


def test_a_run_ends_with_nothing_left_only_when_nothing_is_typed_as_nothing(clerk: Client) -> None:
    charged()
    factories.Tub()
    assert "type 0 if there is none" in refused(clerk, END, typed(pair="SP1", left_over_mg="", scale="S3"))
    told = written(clerk, END, typed(pair="SP1", left_over_mg="0", scale="S3"))
    assert MillingClose.objects.get().left_over_mg == 0
    assert "the run is ended, nothing was left over" in told


def test_the_left_over_becomes_a_lot(clerk: Client) -> None:
    leaf = factories.RefinedLeaf()
    charged(lot=leaf)
    factories.Load(lot=leaf, job="J26-06", charge=factories.kg("0.055"))
    factories.Tub()
    told = written(clerk, END, typed(pair="SP1", left_over_mg="0.055", scale="S3"))
    left = Lot.objects.get(material="left_over")
    assert left.mass_mg == 55_000
    assert "55 g left over: lot B" in told


def test_a_run_that_does_not_add_up_is_asked_about(clerk: Client) -> None:
    charged()
    factories.Tub(powder=factories.kg("0.700"), ground_h=Decimal(18))
    assert "The stones lost" in refused(clerk, END, typed(pair="SP1", left_over_mg="0", scale="S3"))


def test_the_end_sent_twice(clerk: Client) -> None:
    charged()
    factories.Tub()
    fields = typed(pair="SP1", left_over_mg="0", scale="S3")
    assert "nothing was written twice" in sent_twice(clerk, END, fields)


# The wall


def test_the_wall_says_what_each_pair_does(clerk: Client) -> None:
    charged(8)
    factories.Tub(happened_at=timezone.now() - dt.timedelta(hours=1), ground_h=Decimal(7), powder=factories.kg("0.280"))
    said = page(clerk.get(WALL))
    assert "1 of 2 pairs mills." in said
    assert "stands idle" in said
    assert "40.0" in said
    assert "runs dry" in said or "ran dry" in said
    html = clerk.get(WALL).content.decode()
    assert "/stones/tub/?pair=SP1" in html
    assert "/stones/charge/?pair=SP2" in html


def test_a_hopper_that_was_not_emptied_is_looked_at(clerk: Client) -> None:
    factories.mill(job="J26-05")
    other = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2")))
    charged(lot=other)
    said = page(clerk.get(WALL))
    assert "look: was it emptied?" in said
    assert "No left-over and no clean-down after J26-05. Keep its first tub apart." in said


def test_a_pair_that_was_opened_and_cleaned_is_quiet(clerk: Client) -> None:
    factories.mill(job="J26-05")
    factories.Cleaned()
    other = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P2")))
    charged(lot=other)
    assert "was it emptied" not in page(clerk.get(WALL))


def test_a_blunt_pair_is_to_be_dressed(clerk: Client) -> None:
    leaf = factories.RefinedLeaf(lot=factories.CrudeLeaf(lot=factories.FreshLeaf(fresh=factories.kg("200", "S1", 10), bag_count=10)))
    for number in range(20):
        factories.Load(lot=leaf, charge=factories.kg("0.880"))
        factories.Tub(powder=factories.kg(f"{0.886 - 0.012 * max(0, number - 6):.3f}"), moisture=Moisture(factories.POWDER_W))
    said = page(clerk.get(WALL))
    assert "stop: too slow, dress it" in said
    assert "was usual after dressing" in said


def test_few_queries_on_the_wall(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.mill()
    charged(pair="SP2", lot=Lot.objects.get(material="refined_leaf"), job="J2")
    clerk.get(WALL)
    with django_assert_max_num_queries(18):  # type: ignore[operator]
        clerk.get(WALL)


def test_few_queries_for_a_tub(clerk: Client, django_assert_max_num_queries: object) -> None:
    charged()
    factories.Tub()
    clerk.get(TUB)
    with django_assert_max_num_queries(45):  # type: ignore[operator]
        clerk.get(f"{TUB}?pair=SP1")


# Dressing


def test_a_dressing_begins_the_hours_anew(clerk: Client) -> None:
    factories.mill()
    told = written(clerk, DRESS, typed(pair="SP1", what="dressed"))
    pair = StonePair.objects.filter(code="SP1").order_by("-version")[0]
    assert (pair.version, pair.dressed_h, pair.upper) == (2, 0, "U1")
    assert "its hours begin at 0" in told


def test_a_new_pin_keeps_the_hours(clerk: Client) -> None:
    factories.mill()
    written(clerk, DRESS, typed(pair="SP1", what="pin", pin="K7"))
    pair = StonePair.objects.filter(code="SP1").order_by("-version")[0]
    assert (pair.pin, pair.dressed_h) == ("K7", Decimal("144.00"))


def test_stones_that_hold_leaf_are_not_taken_apart(clerk: Client) -> None:
    charged()
    assert "End that run with its left-over first" in refused(clerk, DRESS, typed(pair="SP1", what="dressed"))


def test_other_stones_have_other_numbers(clerk: Client) -> None:
    assert "Which stones run now?" in refused(clerk, DRESS, typed(pair="SP1", what="stones"))
    written(clerk, DRESS, typed(pair="SP1", what="stones", upper="U9"))


def test_a_dressing_sent_twice(clerk: Client) -> None:
    assert "nothing was written twice" in sent_twice(clerk, DRESS, typed(pair="SP1", what="dressed"))
    assert StonePair.objects.filter(code="SP1").count() == 2
