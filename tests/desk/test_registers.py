"""Registers: a new thing, a new version, and personal values that stay sealed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from lots.desk.forms.register_words import LABELS, REGISTERS
from lots.desk.forms.registers import asked
from lots.models import FieldPlot, House, JournalEntry, Party, Scale, Staff, StonePair
from lots.record.registers import KINDS
from tests import factories
from tests.desk.conftest import Hands, broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
SCALE = {
    "name": "by the stones", "division_mg": "1", "interval_mg": "1", "u_repeat_mg": "0,5", "accuracy_class": "II", "capacity_mg": "12",
    "decimals_count": "3",
}


@pytest.fixture
def keeper(hands: Hands) -> Client:
    return hands("administrator")


def test_every_register_has_words_for_itself_and_for_each_of_its_fields() -> None:
    assert set(REGISTERS) == set(KINDS)
    assert {f.name for model in KINDS.values() for f in asked(model)} <= set(LABELS)


@pytest.mark.parametrize("table", REGISTERS)
def test_each_register_opens_and_can_be_had_as_a_file(keeper: Client, table: str, django_assert_max_num_queries: object) -> None:
    with django_assert_max_num_queries(16):  # type: ignore[operator]
        answer = keeper.get(f"/registers/{table}/")
    assert answer.status_code == 200
    file = keeper.get(f"/registers/{table}/file/")
    assert file["Content-Type"].startswith("text/csv")
    assert file.content.decode("utf-8-sig").splitlines()[0]


@pytest.mark.parametrize("table", REGISTERS)
def test_each_register_has_a_form_for_something_new(keeper: Client, table: str) -> None:
    assert keeper.get(f"/registers/{table}/enter/").status_code == 200


def test_the_list_of_all_registers(keeper: Client, django_assert_max_num_queries: object) -> None:
    with django_assert_max_num_queries(24):  # type: ignore[operator]
        said = page(keeper.get("/registers/"))
    assert "3 Plots Open" in said


def test_a_scale_is_entered_in_grams_and_kilograms(keeper: Client) -> None:
    told = written(keeper, "/registers/scale/enter/", typed(code="S4", **SCALE))
    scale = Scale.objects.get(code="S4")
    assert (scale.division_mg, scale.u_repeat_mg, scale.capacity_mg) == (1_000, Decimal("500.00"), 12_000_000)
    assert "Scales: S4 is entered." in told


def test_a_code_that_is_taken(keeper: Client) -> None:
    assert "S3 is in the register already" in refused(keeper, "/registers/scale/enter/", typed(code="S3", **SCALE))


def test_a_new_version_stands_beside_the_old_one(keeper: Client) -> None:
    html = keeper.get("/registers/scale/enter/S3/").content.decode()
    assert 'value="0.5"' in html
    written(keeper, "/registers/scale/enter/S3/", typed(**{**SCALE, "u_repeat_mg": "0.8", "retired": "no"}))
    rows = Scale.objects.filter(code="S3").order_by("version")
    assert [(r.version, r.u_repeat_mg) for r in rows] == [(1, Decimal("500.00")), (2, Decimal("800.00"))]


def test_a_thing_out_of_use_is_not_offered_any_more(keeper: Client, hands: Hands) -> None:
    written(keeper, "/registers/scale/enter/S1/", typed(**{**SCALE, "capacity_mg": "150", "retired": "yes"}))
    assert "S1, to 150 kg" not in page(hands("clerk").get("/leaf-in/"))
    assert Scale.objects.filter(code="S1").count() == 2


def test_letters_in_a_number(keeper: Client) -> None:
    assert "is a letter. Was 0 meant?" in refused(keeper, "/registers/scale/enter/", typed(code="S4", **{**SCALE, "division_mg": "one"}))


def test_a_point_is_a_decimal_mark_and_a_comma_alone_is_asked_about(keeper: Client) -> None:
    said = refused(keeper, "/registers/scale/enter/", typed(code="S4", **{**SCALE, "capacity_mg": "1,234"}))
    assert "can be read in two ways" in said
    written(keeper, "/registers/scale/enter/", typed(code="S4", **{**SCALE, "capacity_mg": "1.234"}))
    assert Scale.objects.get(code="S4").capacity_mg == 1_234_000


def test_finer_than_a_milligram(keeper: Client) -> None:
    said = refused(keeper, "/registers/scale/enter/", typed(code="S4", **{**SCALE, "division_mg": "0.0001"}))
    assert "0.0001 is finer than this register keeps." in said


def test_a_growers_name_is_sealed_in_the_journal_and_read_at_the_desk(keeper: Client) -> None:
    written(keeper, "/registers/party/enter/", typed(code="G9", name="Hototogisu household", contact="line 9", roles="grower"))
    entry = JournalEntry.objects.order_by("-seq")[0]
    assert b"Hototogisu" not in bytes(entry.body)
    assert len(Party.objects.get(code="G9").name) == 64
    assert "Hototogisu household" in page(keeper.get("/registers/party/"))
    assert "Hototogisu household" in keeper.get("/registers/party/enter/G9/").content.decode()


def test_a_plot_points_at_its_grower(keeper: Client) -> None:
    written(keeper, "/registers/field_plot/enter/", typed(
        code="P9", name="Cedar Shelf", area_a="5.6", altitude_m="", planted_year="", state="organic", grower="G1", place="", valley="",
        disclosed="valley",
    ))
    plot = FieldPlot.objects.get(code="P9")
    assert (plot.grower.code, plot.area_a, plot.altitude_m) == ("G1", Decimal("5.60"), None)
    form = keeper.get("/registers/field_plot/enter/").content.decode()
    assert "Kawasemi household" in form
    assert "Tea House East" not in form


def test_an_account_is_bound_to_a_badge(keeper: Client) -> None:
    written(keeper, "/registers/staff/enter/A/", typed(name="Hana Sato", login="hana", retired="no"))
    assert Staff.objects.filter(code="A").count() == 2


def test_the_house_has_one_code(keeper: Client) -> None:
    written(keeper, "/registers/house/enter/", typed(
        name="Small mill of the valley", name_ja="", address="Valley 1", contact="line 3", moisture_ceiling_frac="5", keeping="Cool and dark",
        keeping_ja="", invented="yes", retired="no",
    ))
    house = House.objects.order_by("-version")[0]
    assert (house.code, house.version, house.moisture_ceiling_frac, house.invented) == ("HOUSE", 2, Decimal("0.05000"), True)


def test_a_new_stone_pair_begins_at_nothing(keeper: Client) -> None:
    factories.enter("equipment", "SP3", kind="stone_pair", name="Stone pair 3")
    written(keeper, "/registers/stone_pair/enter/", typed(code="SP3", equipment="SP3", upper="U3", lower="L3", pin="", dressed_h="0"))
    assert StonePair.objects.get(code="SP3").dressed_h == 0


def test_what_is_not_there(keeper: Client) -> None:
    assert keeper.get("/registers/spoons/").status_code == 404
    assert keeper.get("/registers/spoons/file/").status_code == 404
    assert keeper.get("/registers/spoons/enter/").status_code == 404
    assert keeper.get("/registers/scale/enter/S9/").status_code == 404


def test_an_auditor_reads_and_enters_nothing(hands: Hands) -> None:
    auditor = hands("auditor")
    assert "New version" not in page(auditor.get("/registers/scale/"))
    assert auditor.get("/registers/scale/enter/").status_code == 403


def test_sent_twice(keeper: Client) -> None:
    assert "nothing was written twice" in sent_twice(keeper, "/registers/scale/enter/", typed(code="S4", **SCALE))
    assert Scale.objects.filter(code="S4").count() == 1


def test_the_disk_fails(keeper: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    fields = typed(code="S4", **SCALE)
    broken_off(keeper, "/registers/scale/enter/", fields, monkeypatch)
    assert "Entry" in written(keeper, "/registers/scale/enter/", fields)
