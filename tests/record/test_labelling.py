"""Labels and organic marks: counted by series, a difference is shown with its sign, words are held against the leaf."""

from __future__ import annotations

import pytest

from lots.models import LabelCount, Lot, PackedUnit
from lots.read.label_counts import LabelsOfSeries, labels_of
from lots.read.label_words import label_findings
from lots.read.packaging import packaging_lots, packaging_of, packed_in
from lots.read.recall_starts import at_packaging
from lots.read.recalling import recall
from lots.read.verifying import verify_book
from lots.record import labelling, receiving
from lots.record.acts import Act
from lots.record.dispatch import Packs
from lots.record.labelling import Labels, Packaging
from tests import factories as make
from tests.finishing import LabelsCounted, Reprinted, enter_label
from tests.record.asking import expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")
WHOLE = Labels(25, 20, 2, 3)


def asked(tins: Lot, **other: object) -> dict[str, object]:
    label = other.pop("label", None) or enter_label()
    return {"lot": tins.code, "label": label, "labels": WHOLE, "happened_at": make.next_moment()} | other


def told(tins: Lot) -> LabelsOfSeries:
    return labels_of(PackedUnit.objects.select_related("product", "lot").filter(lot=tins))[0]


def test_labels_that_are_all_accounted_for_close() -> None:
    tins = make.Packed()
    LabelsCounted(lot=tins)
    assert (told(tins).closes, told(tins).unexplained_count) == (True, 0)
    assert verify_book() == []


def test_a_series_whose_labels_nobody_counted_claims_nothing() -> None:
    tins = make.Packed()
    assert (told(tins).row, told(tins).closes) == (None, False)


@pytest.mark.parametrize(("labels", "match", "differ"), [
    (Labels(25, 20, 2, 1), r"a difference of \+2", 2), (Labels(25, 20, 2, 4), "a difference of -1", -1),
    (Labels(25, 19, 2, 4), "19 labels are on packs, and the series holds 20", 0),
])
def test_labels_that_do_not_close_are_asked_about_and_stay_visible(labels: Labels, match: str, differ: int) -> None:
    tins = make.Packed()
    expect_question(labelling.count, match, **asked(tins, labels=labels))
    assert (told(tins).unexplained_count, told(tins).closes) == (differ, False)
    assert verify_book() == []


def test_marks_are_counted_against_packs_and_packed_mass() -> None:
    tins = make.Packed()
    LabelsCounted(lot=tins, marks=Labels(22, 20, 1, 1))
    assert (told(tins).closes, told(tins).marked_mg, told(tins).unit.lot.mass_mg) == (True, 600_000, 604_000)
    assert verify_book() == []


@pytest.mark.parametrize(("marks", "match"), [
    (Labels(22, 20, 1, 0), "Organic marks taken out 22; .* a difference of"), (Labels(22, 18, 1, 3), "18 organic marks are on packs"),
])
def test_marks_that_do_not_close_are_asked_about(marks: Labels, match: str) -> None:
    expect_question(labelling.count, match, **asked(make.Packed(), marks=marks))


def test_marks_on_leaf_that_is_not_certified_are_asked_about() -> None:
    conventional = make.Sieved(lots=make.mill(make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot="P2")))).tubs)
    tins = make.Packed(lots=[conventional])
    expect_question(labelling.count, "not all of their leaf is known to be from certified plots", **asked(tins, marks=Labels(20, 20, 0, 0)))


def test_words_that_the_leaf_does_not_bear_out_are_asked_about() -> None:
    tins = make.Packed()
    label = enter_label("L31", net_mg=40_000, claims="organic, single plot")
    expect_question(labelling.count, "says 40.0.g net, the product holds 30.0.g", **asked(tins, label=label))
    assert [str(finding)[:18] for finding in told(tins).findings] == ["The label says 40."]


def test_a_place_on_the_label_is_held_against_the_plots() -> None:
    unit = PackedUnit.objects.select_related("product").get(lot=make.Packed())
    for valley, found in (("Small valley", 0), ("Large valley", 1)):
        row = labels_in_force(enter_label(f"L-{valley}", origin_valley=valley, origin_claim="whole"))
        assert len(label_findings(row, unit)) == found
        assert label_findings(row) == ()


def labels_in_force(code: str) -> object:
    from lots.models import LabelVersion

    return LabelVersion.objects.select_related("product").get(code=code)


def test_a_label_of_another_product_and_a_second_count_are_asked_about() -> None:
    tins = make.Packed()
    bags = PackedUnit.objects.get(step=tins.step_id, product__code="B100").lot
    expect_question(labelling.count, "is for T30, and these packs are B100", **asked(bags, labels=Labels(5, 5, 0, 0)))
    LabelsCounted(lot=tins, label="L30")
    expect_question(labelling.count, "counted before", **asked(tins))


def test_a_count_that_was_taken_back_is_not_told() -> None:
    tins = make.Packed()
    take_back(LabelsCounted(lot=tins))
    assert told(tins).row is None
    assert verify_book() == []


def test_packaging_stands_with_the_series_and_leads_to_its_packs_alone() -> None:
    tins = make.Packed()
    bags = PackedUnit.objects.get(step=tins.step_id, product__code="B100").lot
    other = make.Packed()
    taken = [Packaging("TIN-77", 15), Packaging("TIN-78", 5, 1), Packaging("TIN-77", 0, 2)]
    step = LabelsCounted(lot=tins, packaging=taken)
    LabelsCounted(lot=other, label="L30", packaging=[Packaging("TIN-77", 20)])
    unit = PackedUnit.objects.get(lot=tins)
    assert [(one.code, one.used_count, one.spoiled_count) for one in packaging_of([unit])[unit.pk]] == [("TIN-77", 15, 2), ("TIN-78", 5, 1)]
    make.Sent(packs=[Packs(tins.code, 6)])
    answer = recall(at_packaging("tin-77"))
    assert {one.lot.code for one in answer.series.values()} == {tins.code, other.code}
    assert [one.consignee for one in answer.sent] == ["B1"]
    assert bags.code not in {one.lot.code for one in answer.lots}
    take_back(step)
    assert [unit.lot.code for unit in packed_in("TIN-77")] == [other.code]
    assert packed_in("TIN-78") == []
    assert verify_book() == []


def taken_in(code: str, count: int) -> None:
    make.enter("packaging_item", "TIN", name="Tin of 30 g, green", kind="tin")
    make.enter("party", "SUP", name="Tin maker", contact="telephone SUP", roles="supplier")
    receiving.packaging(Act("A"), item="TIN", supplier="SUP", counted_count=count, paper=receiving.Paper(number="N-1"), supplier_lot=code,
                        happened_at=make.next_moment())


def test_packaging_that_came_in_is_counted_down_and_what_never_came_is_asked_about() -> None:
    tins, more = make.Packed(), make.Packed()
    taken_in("TIN-77", 30)
    LabelsCounted(lot=tins, packaging=[Packaging("tin-77", 20, 1)])
    assert [(one.item, one.supplier, one.came_count, one.left_count) for one in packaging_lots()] == [("Tin of 30 g, green", "SUP", 30, 9)]
    expect_question(labelling.count, "Of packaging TIN-77 9 are left", **asked(more, label="L30", packaging=[Packaging("TIN-77", 20)]))
    bags = PackedUnit.objects.get(step=tins.step_id, product__code="B100").lot
    enter_label("L100", product="B100", net_mg=100_000)
    facts = {"label": "L100", "labels": Labels(5, 5, 0, 0), "packaging": [Packaging("POUCH-1", 5)]}
    expect_question(labelling.count, "No packaging POUCH-1 was taken in", **asked(bags, **facts))
    assert verify_book() == []


@pytest.mark.parametrize("packaging", [[Packaging(" ", 3)], [Packaging("TIN-77", 0)], [Packaging("TIN-77", -1, 2)]])
def test_packaging_has_a_code_and_a_count(packaging: list[Packaging]) -> None:
    assert expect_refusal(labelling.count, ".", **asked(make.Packed(), packaging=packaging)).field == "packaging"


def test_re_prints_are_counted_with_their_reasons() -> None:
    tins = make.Packed()
    Reprinted(lot=tins)
    Reprinted(lot=tins, print_count=1, cause="One fell")
    assert (told(tins).reprinted_count, told(tins).causes) == (3, ("The printer smeared", "One fell"))
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"label": "L99"}, "register of labels", "label"), ({"labels": Labels(-1, 0, 0, 0)}, "below nothing", "printed_count"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(labelling.count, match, **asked(make.Packed(), **other)).field == field


@pytest.mark.parametrize(("other", "field"), [({"print_count": 0}, "print_count"), ({"cause": " "}, "cause")])
def test_a_re_print_has_a_count_and_a_reason(other: dict[str, object], field: str) -> None:
    again = {"lot": make.Packed().code, "print_count": 1, "cause": "Smeared"} | other
    assert expect_refusal(labelling.reprint, ".", **again).field == field


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    facts = asked(make.Packed(), marks=Labels(20, 20, 0, 0))
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            labelling.count(Act("B"), **facts)
        assert standing() == before
    power.break_off(-1)
    act = Act("B")
    first, again = labelling.count(act, **facts), labelling.count(act, **facts)
    assert (again.seq, again.repeated, LabelCount.objects.count()) == (first.seq, True, 1)
    assert verify_book() == []
