"""May we pluck, the page of a plot, trims and notices."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from lots.models import FieldTreatment, FieldTrim, Hold, NeighbourNotice
from lots.record import registers
from lots.record.acts import Act
from lots.trade.units import date_text
from tests import factories
from tests.desk.conftest import Hands, asked, broken_off, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
NINE_ARES = "35.0100, 135.7600\n35.0100, 135.76033\n35.01027, 135.76033\n35.01027, 135.7600"


def day(back: int = 0) -> dt.date:
    return timezone.localdate() - dt.timedelta(days=back)


def seen(answer: HttpResponse) -> str:
    """The text of a page as it runs on over its marks."""
    body = re.sub(r"</?(span|b|time|a|code)\b[^>]*>", "", answer.content.decode())
    return " ".join(re.sub(r"<[^>]+>", " ", body).replace("\u00a0", " ").split())


def neighbour() -> None:
    factories.enter("plot_neighbour", "N1", plot="P1", side="NE", distance_m=4, grows="rice", kept_apart="hedge", buffer_m=3)


# May we pluck? -------------------------------------------------------------------------------------------------------


def test_every_plot_stands_in_one_list_with_day_treatment_and_days_left(clerk: Client) -> None:
    factories.Treated(plot="P2", applied_on=day(3), interval_days=14, happened_at=timezone.now())
    factories.Treated(plot="P2", applied_on=day(1), interval_days=7, product="Leaf roller", happened_at=timezone.now())
    factories.Treated(plot="P1", applied_on=day(20), interval_days=14, happened_at=timezone.now())
    said = seen(clerk.get("/field/pluck/"))
    until = date_text(day(-11))
    assert "1 plot must wait" in said
    assert "11 days left" in said
    assert f"wait until {until}" in said
    assert "P2, Heron Bend." in said
    assert "Mite stop of" in said
    assert "Leaf roller" not in said
    assert said.index("P2, Heron Bend") < said.index("P1, Lantern Terrace")
    assert said.count(" open ") == 2


def test_a_later_day_can_be_looked_at(clerk: Client) -> None:
    factories.Treated(plot="P2", applied_on=day(12), interval_days=14, happened_at=timezone.now())
    assert "1 plot must wait" in seen(clerk.get("/field/pluck/"))
    assert "every plot may be plucked" in seen(clerk.get(f"/field/pluck/?day={day(-2).isoformat()}"))
    assert clerk.get("/field/pluck/?day=nonsense").status_code == 200


def test_what_a_neighbour_sprays_stands_in_the_list(clerk: Client) -> None:
    neighbour()
    fields = typed(plot="P1", sprays_on=day(-5).isoformat(), neighbour="N1", product="Rice dust", kept_apart="two rows left")
    assert "a neighbour sprays" in written(clerk, "/field/notice/", fields)
    assert NeighbourNotice.objects.get().neighbour.code == "N1"
    said = seen(clerk.get("/field/pluck/"))
    assert "A neighbour sprays Rice dust" in said
    assert "rice, north-east, 4 m away, hedge, buffer of 3 m" in said
    assert "two rows left" in said


def test_an_auditor_may_look_and_a_packing_hand_may_not(hands: Hands) -> None:
    assert hands("auditor").get("/field/pluck/").status_code == 200
    assert hands("packing").get("/field/pluck/").status_code == 403


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    factories.Treated()
    clerk.get("/field/pluck/")
    with django_assert_max_num_queries(10):  # type: ignore[operator]
        clerk.get("/field/pluck/")


# Treatments, trims ---------------------------------------------------------------------------------------------------


def spray(**other: str) -> dict[str, str]:
    return typed(**{"plot": "P1", "interval_days": "14", "applied_on": day().isoformat(), "product": "Mite stop", **other})


def test_all_that_packet_and_tank_say_is_kept_and_told(clerk: Client) -> None:
    written(clerk, "/field/treatment/", spray(
        kind="fertiliser", water_l_per_10_a="400", uses_most_count="2", batch="LOT 7", operator="A", dose="20 ml in 100 l", substance="nitrogen",
    ))
    row = FieldTreatment.objects.get()
    assert (row.kind, row.water_l_per_10_a, row.uses_most_count, row.batch, row.operator.code) == ("fertiliser", 400, 2, "LOT 7", "A")
    said = seen(clerk.get("/field/plot/P1/"))
    told = "Fertiliser, nitrogen, 20 ml in 100 l, 400 l of water per 10 a, 14 days until plucking, use 1 of 2 since the plucking before"
    assert told in said
    assert "by badge A" in said


def test_a_use_too_many_is_asked_about(clerk: Client) -> None:
    factories.Treated(applied_on=day(5), happened_at=timezone.now())
    assert "use number 2 since the last plucking, and the label allows 1" in refused(clerk, "/field/treatment/", spray(uses_most_count="1"))


def trim(**other: str) -> dict[str, str]:
    return typed(**{"plot": "P1", "trimmed_on": day().isoformat(), "depth": "deep", **other})


def test_a_trim_is_written_and_stands_on_the_page_of_the_plot(clerk: Client) -> None:
    assert "Plot P1 trimmed on" in written(clerk, "/field/trim/", trim())
    assert FieldTrim.objects.get().as_plucking is True
    assert "As deep as a plucking: uses count anew." in seen(clerk.get("/field/plot/P1/"))
    assert "P9 is not in the register of plots" in refused(clerk, "/field/trim/", trim(plot="P9"))
    assert "Choose one." in refused(clerk, "/field/trim/", trim(depth=""))


@pytest.mark.parametrize(("url", "more"), [("/field/trim/", {"trimmed_on": "", "depth": "deep"}), ("/field/notice/", {"sprays_on": ""})])
def test_not_written_then_written_once(clerk: Client, monkeypatch: pytest.MonkeyPatch, url: str, more: dict[str, str]) -> None:
    fields = typed(plot="P1", **{name: value or day().isoformat() for name, value in more.items()})
    broken_off(clerk, url, fields, monkeypatch)
    assert "nothing was written twice" in sent_twice(clerk, url, fields)


# The page of a plot --------------------------------------------------------------------------------------------------


def test_the_page_says_state_plantings_covers_flushes_and_neighbours(hands: Hands) -> None:
    neighbour()
    factories.Covered(covered_on=day(33), happened_at=timezone.now())
    factories.Covered(covered_on=day(23), happened_at=timezone.now())
    factories.FreshLeaf(plucked_on=day(3), happened_at=timezone.now() - dt.timedelta(days=2))
    said = seen(hands("auditor").get("/field/plot/P1/"))
    assert "9.0 a, Kawasemi household, Small valley." in said
    assert "Its state is organic, since" in said
    assert "210 m up, planted in 2006." in said
    assert "Flush 1 of" in said
    assert "3 bags: 66.7 kg per 10 a." in said
    assert "Covered for 30 days. Of these, 10 days under 1 layer, 20 days under 2 layers." in said
    assert "Rice, north-east, 4 m away, hedge, buffer of 3 m." in said
    assert "Saemidori. 9.0 a. Planted in 2006." in said
    assert "35.01, 135.76." in said


def changed(**fields: object) -> None:
    kept = {"name": "Lantern Terrace", "area_a": Decimal("9.00"), "grower": "G1", "place": "35.01, 135.76"}
    registers.enter(Act("F"), table="field_plot", code="P1", fields=kept | fields)


def test_the_state_of_a_day_comes_from_the_versions(hands: Hands) -> None:
    changed(state="conventional", state_from_on=day(10))
    reader = hands("auditor")
    assert "Its state is conventional, since" in seen(reader.get("/field/plot/P1/"))
    before = seen(reader.get(f"/field/plot/P1/?day={day(400).isoformat()}"))
    assert "is not in the book, which begins on" in before
    assert "Organic. From" in before


def test_the_outline_is_drawn_and_measured_for_those_who_keep_the_registers(hands: Hands) -> None:
    changed(outline=NINE_ARES)
    answer = hands("auditor").get("/field/plot/P1/")
    assert "The outline has 4 corners and encloses 9.0 a; 9.0 a stand in the register." in seen(answer)
    assert "<polygon" in answer.content.decode()
    hidden = hands("clerk").get("/field/plot/P1/").content.decode()
    assert "<polygon" not in hidden
    assert "135.76" not in hidden


def test_an_outline_is_typed_into_the_register(hands: Hands) -> None:
    keeper = hands("quality")
    facts = {
        "name": "Lantern Terrace", "area_a": "9", "state": "organic", "disclosed": "plot", "retired": "no", "aspect": "SE", "slope_frac": "12",
        "state_from_on": "2019-04-01", "cover": "trellis", "grower": "G1",
    }
    assert "Line 1 is no pair" in refused(keeper, "/registers/field_plot/enter/P1/", typed(**facts, outline="behind the shrine"))
    assert "90.0 a is typed" in refused(keeper, "/registers/field_plot/enter/P1/", typed(**{**facts, "area_a": "90"}, outline=NINE_ARES))
    written(keeper, "/registers/field_plot/enter/P1/", typed(**facts, outline=NINE_ARES))
    said = seen(keeper.get("/field/plot/P1/"))
    assert "Slopes to the south-east by 12 %" in said
    assert "since 2019-04-01" in said
    assert "covers lie on a trellis" in said
    assert "35.01, 135.76\n" in keeper.get("/registers/field_plot/enter/P1/").content.decode()


def test_one_point_is_a_place_without_a_drawing(hands: Hands) -> None:
    changed(outline="35.0112, 135.7681")
    answer = hands("auditor").get("/field/plot/P1/")
    assert "Its point is 35.01120, 135.76810." in seen(answer)
    assert "<figure" not in answer.content.decode()


def test_a_plot_that_nobody_knows(clerk: Client) -> None:
    assert clerk.get("/field/plot/P9/").status_code == 404


def test_a_treatment_that_is_entered_late_asks_and_holds(clerk: Client) -> None:
    lot = factories.FreshLeaf(plucked_on=day(2), happened_at=timezone.now() - dt.timedelta(days=2))
    fields = spray(applied_on=day(5).isoformat())
    answer = clerk.post("/field/treatment/", fields)
    assert "These lots are held until the quality lead releases them" in seen(answer)
    told = written(clerk, "/field/treatment/", {**fields, **asked(answer), "act_reason": "The paper ticket says so"})
    assert "Held by rule" in told
    assert Hold.objects.get().lot == lot
