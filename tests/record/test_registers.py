"""Registers: a named thing is entered, changed by a new version, retired; what is about persons can be erased."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from lots.codes.packs import pack_code, split
from lots.models import (
    Cultivar,
    FieldPlot,
    JournalEntry,
    MoistureRule,
    PackedUnit,
    PackFace,
    PackSecret,
    Party,
    Planting,
    PrivateValue,
    Scale,
)
from lots.read.pack_pages import find_pack
from lots.read.verifying import verify_book
from lots.record import registers
from lots.record.acts import Act
from lots.record.errors import Refused
from tests import factories as make
from tests.record.asking import expect_refusal, line, lot_of, standing

pytestmark = pytest.mark.usefixtures("mill")
PLOT = {
    "name": "Lantern Terrace", "area_a": Decimal("9.00"), "altitude_m": 210, "planted_year": 2006, "state": "organic", "grower": "G1",
    "valley": "Small valley",
}


def enter(table: str, code: str, **fields: object) -> registers.Any:
    return registers.enter(Act("F"), table=table, code=code, fields=fields)


def page() -> dict[str, object]:
    """What a stranger reads of the leaf of the one series of tins."""
    unit = PackedUnit.objects.filter(retained=False).earliest("pk")
    code = pack_code(unit.run_no, 1, bytes(PackSecret.objects.get(pk=unit.run_no).secret))
    found = find_pack(split(code))
    return {**found.facts["origins"][0], "growers": found.growers}


def test_a_change_is_a_new_version_and_the_old_one_stays() -> None:
    enter("cultivar", "Houshun", name="Houshun")
    enter("cultivar", " Houshun ", name="Houshun", name_ja="鳳春")
    rows = list(Cultivar.objects.filter(code="Houshun").order_by("version").values_list("version", "name_ja"))
    assert rows == [(1, ""), (2, "鳳春")]
    assert verify_book() == []


def test_names_and_places_stand_sealed_in_row_and_journal() -> None:
    receipt = enter("party", "G3", name="Kingfisher household", contact={"telephone": "000-0009"}, roles="grower")
    row = Party.objects.get(code="G3")
    body = bytes(JournalEntry.objects.get(pk=receipt.seq).body)
    assert len(row.name) == len(row.contact) == 64
    assert json.loads(PrivateValue.objects.get(pk=row.name).value) == "Kingfisher household"
    assert json.loads(PrivateValue.objects.get(pk=row.contact).value) == {"telephone": "000-0009"}
    assert b"Kingfisher" not in body
    assert f'"name":{{"$h":"{row.name}"}}'.encode() in body
    assert verify_book() == []


def test_the_same_name_twice_is_sealed_with_two_salts() -> None:
    for code in ("X1", "X2"):
        enter("party", code, name="The same household", roles="grower")
    assert Party.objects.get(code="X1").name != Party.objects.get(code="X2").name
    assert verify_book() == []


def test_a_name_that_is_erased_leaves_the_proof_whole_and_the_page_nameless() -> None:
    enter("field_plot", "P1", **PLOT, disclosed="plot and grower")
    make.Packed()
    assert page()["growers"] == ("Kawasemi household",)
    PrivateValue.objects.filter(pk=Party.objects.get(code="G1").name).delete()
    assert page()["growers"] == ()
    assert verify_book() == []
    PrivateValue.objects.all().delete()
    assert verify_book() == []


@pytest.mark.parametrize(("disclosed", "plot", "growers"), [
    ("valley", "", ()), ("plot", "Lantern Terrace", ()), ("plot and grower", "Lantern Terrace", ("Kawasemi household",)),
])
def test_a_new_version_of_a_plot_changes_what_its_packs_disclose_at_once(disclosed: str, plot: str, growers: tuple[str, ...]) -> None:
    make.Packed()
    enter("field_plot", "P1", **PLOT, disclosed="plot and grower" if disclosed == "valley" else "valley")
    enter("field_plot", "P1", **PLOT, disclosed=disclosed)
    now = page()
    assert (now["plot"], now["growers"], now["valley"]) == (plot, growers, "Small valley")
    assert (now["altitude_m"] is None) is (disclosed == "valley")
    assert now["plucked_on"].endswith("-01") or disclosed != "valley"
    assert verify_book() == []


def test_the_state_of_a_plot_changes_on_the_packs_of_others_not() -> None:
    make.chain()
    other = make.Packed(lots=[make.Sieved(lots=make.mill(make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot="P2")))).tubs)])
    before = PackFace.objects.get(unit__lot=other).facts
    enter("field_plot", "P1", **PLOT | {"state": "conventional"}, disclosed="plot")
    assert page()["state"] == "conventional"
    assert PackFace.objects.get(unit__lot=other).facts == before
    assert verify_book() == []


def test_a_repaired_scale_weighs_with_its_new_plate_and_keeps_the_old_one_for_what_was_weighed_before() -> None:
    fields = {"division_mg": 20_000, "interval_mg": 20_000, "u_repeat_mg": Decimal(9_000), "accuracy_class": "III", "capacity_mg": 60_000_000}
    before = make.CrudeLeaf()
    registers.enter(Act("F"), table="scale", code="S2", fields=fields, valid_from_at=make.next_moment())
    after = make.CrudeLeaf()
    versions = [line(lot.step, lot).scale.version for lot in (before, after)]
    assert versions == [1, 2]
    assert Scale.objects.get(code="S2", version=2).division_mg == 20_000
    assert verify_book() == []


def test_a_moisture_rule_of_the_maker_s_own_is_how_well_its_material_is_known() -> None:
    enter("moisture_rule", "refined_leaf", u_moisture_frac=Decimal("0.0015"))
    leaf = make.RefinedLeaf()
    assert line(leaf.step, leaf).u_moisture_frac == Decimal("0.00150")
    enter("moisture_rule", "refined_leaf", u_moisture_frac=Decimal("0.0015"), retired=True)
    later = make.RefinedLeaf()
    assert line(later.step, later).u_moisture_frac == MoistureRule.objects.get(code="refined").u_moisture_frac
    assert verify_book() == []


def test_what_stands_on_a_plot_points_at_the_plot_s_version() -> None:
    enter("field_plot", "P1", **PLOT, disclosed="plot")
    enter("planting", "P1", plot="P1", cultivar="Okuyutaka", area_a=Decimal("2.00"))
    row = Planting.objects.filter(code="P1").latest("version")
    assert (row.plot.version, row.cultivar.code) == (FieldPlot.objects.filter(code="P1").count(), "Okuyutaka")
    assert verify_book() == []


def test_text_is_one_whatever_keyboard_it_came_from() -> None:
    """A kana and its mark typed apart, as some systems do, are the same word: same row, same act."""
    together, apart = "さえみどりが", "さえみどり\u304b\u3099"
    act = Act("F")
    first = registers.enter(act, table="cultivar", code="X", fields={"name": apart})
    again = registers.enter(act, table="cultivar", code="X", fields={"name": together})
    assert Cultivar.objects.get(code="X").name == together
    assert (again.seq, again.repeated) == (first.seq, True)
    assert verify_book() == []


@pytest.mark.parametrize(("table", "code", "fields", "match"), [
    ("teapot", "X", {}, "There is no register called teapot"),
    ("lot", "X", {}, "There is no register called lot"),
    ("cultivar", "  ", {"name": "X"}, "A code is missing"),
    ("cultivar", "X" * 25, {"name": "X"}, "has 25 signs, and 24 fit"),
    ("field_plot", "X" * 17, {"name": "X", "area_a": 1}, "has 17 signs, and 16 fit"),
    ("cultivar", "X", {"name": "X", "colour": "green"}, "has no field colour"),
    ("cultivar", "X", {"name": "X", "version": 9}, "has no field version"),
    ("cultivar", "X", {"name": "X", "code": "Y"}, "has no field code"),
    ("cultivar", "X", {"name": "X", "entry": 1}, "has no field entry"),
    ("cultivar", "X", {"name": ""}, "Name is missing"),
    ("cultivar", "X", {"name": "a\x00b"}, "cannot be printed"),
    ("cultivar", "X", {"name": "half \ud800"}, "half a character"),
    ("field_plot", "X", {"name": "X", "area_a": None}, "is missing"),
    ("field_plot", "X", {"name": "X", "area_a": Decimal("NaN")}, "must lie between"),
    ("field_plot", "X", {"name": "X", "area_a": Decimal("1e10")}, "must lie between"),
    ("field_plot", "X", {"name": "X", "area_a": "wide"}, "is no number"),
    ("field_plot", "X", {"name": "X", "area_a": 1, "state": "mystical"}, "is one of conventional, in conversion, organic"),
    ("field_plot", "X", {"name": "X", "area_a": 1, "grower": "G9"}, "G9 is not in the register of parties"),
    ("planting", "X", {"plot": None, "cultivar": "Saemidori", "area_a": 1}, "Plot is missing"),
    ("equipment", "X", {"kind": "", "name": "X"}, "Kind is missing"),
    ("product", "X", {"name": "X", "kind": "tin", "net_mg": 2**60}, "must lie between|2\\^53"),
    ("screen", "X", {"equipment": "SIEVE1", "aperture_um": 2**31}, "must lie between"),
])
def test_what_no_register_holds_is_refused(table: str, code: str, fields: dict[str, object], match: str) -> None:
    assert expect_refusal(registers.enter, match, badge="F", table=table, code=code, fields=fields).sentence.endswith(".")


def test_the_house_is_founded_once() -> None:
    before = standing()
    with pytest.raises(Refused, match="already open"):
        registers.found_house(Act("F"), house={"name": "Another mill"}, badge="F", name="Kei")
    assert standing() == before


def test_nobody_without_a_badge_writes() -> None:
    expect_refusal(registers.enter, "Badge Z is not in the register of staff", badge="Z", table="cultivar", code="X", fields={"name": "X"})
    enter("staff", "E", name="Aoi Mori", retired=True)
    expect_refusal(registers.enter, "Badge E is not in the register", badge="E", table="cultivar", code="X", fields={"name": "X"})
    assert verify_book() == []


def test_a_lot_opened_after_a_new_version_says_so_in_its_entry() -> None:
    registers.enter(Act("F"), table="field_plot", code="P1", fields=PLOT, valid_from_at=make.next_moment())
    receipt = make.harvest.intake(
        Act("A"), plot="P1", cultivar="Saemidori", flush_no=1, plucked_on=make.today(), bag_count=3, fresh=make.kg("60", "S1", 3),
        happened_at=make.next_moment(),
    )
    assert b'"plot":"P1@2"' in bytes(JournalEntry.objects.get(pk=receipt.seq).body)
    assert lot_of(receipt).material == "fresh_leaf"
    assert verify_book() == []
