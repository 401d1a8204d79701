"""Going out: packs leave for a consignee. What is held, fetched back, past its day, kept or not here cannot be promised."""

from __future__ import annotations

import datetime as dt

import pytest

from lots.models import Consignment, Flow, Lot, PackedUnit, PackMove, PrivateValue
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import counting, dispatch, holding
from lots.record.acts import Act
from lots.record.dispatch import Packs, Parcel
from lots.record.lines import Weight
from tests import factories as make
from tests.record.asking import REASON, book_mg, correct, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


@pytest.fixture
def tins() -> Lot:
    """A series of twenty tins, 0.604 kg."""
    return make.Packed()


def note(packs: list[Packs], **other: object) -> dict[str, object]:
    return {"consignee": "B1", "packs": packs, "document_no": "DN-1", "happened_at": make.next_moment()} | other


def send(*packs: Packs, **other: object) -> int:
    return dispatch.consign(Act("B"), **note(list(packs), **other)).step


def test_packs_leave_by_number_under_a_document(tins: Lot) -> None:
    step = send(Packs(tins.code, 6, 1), carrier="Valley carriers", recipient={"name": "the tea master"})
    row = Consignment.objects.get(step=step)
    move = PackMove.objects.get(step=step)
    assert (row.consignee.code, row.document_no, row.carrier) == ("B1", "DN-1", "Valley carriers")
    assert (move.first_no, move.last_no, move.pack_count, move.fate) == (1, 6, 6, "dispatched")
    assert series_state(move.unit).here_count == 14
    assert book_mg(tins) == 604_000 - 181_200
    assert "tea master" in PrivateValue.objects.get(pk=row.recipient).value
    assert verify_book() == []


def test_where_only_a_count_was_written_no_number_is_claimed(tins: Lot) -> None:
    move = PackMove.objects.get(step=send(Packs(tins.code, 6)))
    assert (move.first_no, move.last_no, move.pack_count) == (None, None, 6)
    assert series_state(move.unit).here_count == 14
    assert verify_book() == []


def test_several_ranges_of_one_series_are_one_weighing(tins: Lot) -> None:
    step = send(Packs(tins.code, 3, 1), Packs(tins.code, 4, 10), Packs(tins.code, 2))
    assert Flow.objects.get(step=step).mass_mg == 271_800
    assert PackMove.objects.filter(step=step).count() == 3
    assert verify_book() == []


def test_all_packs_take_all_of_the_mass_however_they_go_and_come_back(tins: Lot) -> None:
    first = send(Packs(tins.code, 7, 1))
    send(Packs(tins.code, 6, 8))
    take_back(first)
    for packs in (Packs(tins.code, 3, 1), Packs(tins.code, 4), Packs(tins.code, 7, 14)):
        send(packs)
    assert series_state(PackedUnit.objects.get(lot=tins)).here_count == 0
    assert book_mg(tins) == 0
    assert verify_book() == []


def test_packs_whose_weighing_was_corrected_take_the_corrected_mass(tins: Lot) -> None:
    correct(tins.step_id, tins, "0.606")
    send(Packs(tins.code, 20, 1))
    assert book_mg(tins) == 0
    assert verify_book() == []


def test_a_consignment_that_did_not_happen_brings_its_packs_back(tins: Lot) -> None:
    step = send(Packs(tins.code, 6, 1), Packs(tins.code, 5))
    unit = PackedUnit.objects.get(lot=tins)
    take_back(step)
    assert (series_state(unit).here_count, series_state(unit).fate_of(3), book_mg(tins)) == (20, "returned", 604_000)
    assert send(Packs(tins.code, 20, 1))
    assert verify_book() == []


def test_what_is_held_stays_and_goes_after_its_release(tins: Lot) -> None:
    hold = make.Held(lot=tins)
    refused = expect_refusal(dispatch.consign, "cannot go out: a hold stands on lot", **note([Packs(tins.code, 1, 1)]))
    assert "A smell of smoke" in refused.sentence
    holding.release(Act("C"), hold=hold.pk, reason="Smelled again by two people", happened_at=make.next_moment())
    assert send(Packs(tins.code, 1, 1))
    assert verify_book() == []


def test_a_reason_does_not_open_what_is_held(tins: Lot) -> None:
    make.Held(lot=tins)
    expect_refusal(dispatch.consign, "cannot go out", why=REASON, **note([Packs(tins.code, 1, 1)]))


def test_what_is_fetched_back_stays(tins: Lot) -> None:
    holding.fetch_back(Act("D"), lot=tins.code, reason="Metal found", what_to_do="Bring it back", happened_at=make.next_moment())
    expect_refusal(dispatch.consign, "a recall stands on lot", **note([Packs(tins.code, 1, 1)]))


def test_what_is_past_its_day_stays_and_on_its_day_it_may_go(tins: Lot) -> None:
    unit = PackedUnit.objects.get(lot=tins)
    assert unit.best_before_on > make.today()
    late = make.Packed(lots=[make.Sieved()], packed_on=make.today() - dt.timedelta(days=184))
    last = make.Packed(lots=[make.Sieved()], packed_on=make.today() - dt.timedelta(days=183))
    expect_refusal(dispatch.consign, "best before .* has passed", **note([Packs(late.code, 1, 1)]))
    assert send(Packs(last.code, 1, 1))
    assert verify_book() == []


def test_kept_samples_stay(tins: Lot) -> None:
    kept = make.lots_of(tins.step, "retained_tea")[0]
    expect_refusal(dispatch.consign, "are kept samples", **note([Packs(kept.code, 1)]))


@pytest.mark.parametrize(("packs", "match"), [
    ([(21, 1)], "21 packs of .* were asked for and 20 are here"),
    ([(21, None)], "21 packs of .* and 20 are here"),
    ([(5, 17)], "the series runs from 1 to 20"),
    ([(5, 0)], "the series runs from 1 to 20"),
    ([(0, 1)], "At least one"),
    ([(-3, None)], "At least one"),
    ([(6, 1), (6, 6)], "number 6 has gone before"),
    ([(6, 1), (3, 2)], "number 2 has gone before"),
    ([(12, 1), (9, None)], "9 packs of .* and 8 are here"),
])
def test_what_is_not_here_cannot_go(tins: Lot, packs: list[tuple[int, int | None]], match: str) -> None:
    asked = [Packs(tins.code, count, first) for count, first in packs]
    assert expect_refusal(dispatch.consign, match, **note(asked)).field == "packs"


@pytest.mark.parametrize(("count", "first"), [(1, 6), (4, 3), (20, 1), (15, 6)])
def test_numbers_that_went_before_are_not_here(tins: Lot, count: int, first: int) -> None:
    send(Packs(tins.code, 6, 1))
    expect_refusal(dispatch.consign, "not all here|are here", **note([Packs(tins.code, count, first)]))


def test_a_void_series_is_not_here() -> None:
    tins = make.Packed()
    take_back(tins.step_id)
    expect_refusal(dispatch.consign, "0 are here", **note([Packs(tins.code, 1, 1)]))


def test_a_lot_that_is_no_series_is_refused(tins: Lot) -> None:
    expect_refusal(dispatch.consign, "is not a lot of packs", **note([Packs(make.RefinedLeaf().code, 1)]))


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"packs": []}, "at least one", "packs"),
    ({"consignee": "B9"}, "register of parties", "consignee"),
    ({"packs": [Packs("K26-NONE", 1)]}, "No lot K26-NONE", "packs"),
    ({"document_no": "D" * 41}, "Document no has 41 signs", "document_no"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(tins: Lot, other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(dispatch.consign, match, **note([Packs(tins.code, 1)]) | other).field == field


def test_a_count_that_found_too_few_is_no_reason_for_a_negative_share(tins: Lot) -> None:
    counting.count(Act("A", reason=REASON), lot=tins.code, counted=Weight(0, "S3"), happened_at=make.next_moment())
    step = send(Packs(tins.code, 3, 1))
    assert Flow.objects.get(step=step).mass_mg == 0
    assert verify_book() == []


# Rounds of parcels ---------------------------------------------------------------------------------------------------


class Round(make.Recorded):
    """One parcel of a subscriber."""

    _record = staticmethod(dispatch.parcels)
    consignee = "B1"
    parcels = make.factory.LazyFunction(lambda: (make.Packed(), [parcel()])[1])


def parcel(count: int = 1, product: str = "T30", **other: str) -> Parcel:
    return Parcel(**({"name": "Ito Aya", "address": "3 Harbour Road", "mail": ""} | other), product=product, pack_count=count)


def round_of(*parcels: Parcel) -> dict[str, object]:
    return {"consignee": "B1", "parcels": list(parcels), "carrier": "Valley carriers", "happened_at": make.next_moment()}


def test_a_round_gives_packs_out_in_order_and_all_of_the_mass(tins: Lot) -> None:
    send(Packs(tins.code, 2, 3))
    receipt = dispatch.parcels(Act("B"), **round_of(parcel(3), parcel(7), parcel(8)))
    moves = PackMove.objects.filter(step__part="parcel").order_by("pk")
    assert list(moves.values_list("first_no", "last_no")) == [(1, 2), (5, 5), (6, 12), (13, 20)]
    assert (moves[0].step_id, book_mg(tins)) == (receipt.step, 0)
    assert "3 Harbour Road" in PrivateValue.objects.get(pk=Consignment.objects.get(step=receipt.step).recipient).value
    take_back(moves[3].step_id)
    assert book_mg(tins) == 241_600
    assert verify_book() == []


def test_a_round_passes_over_to_the_next_lot_and_leaves_out_what_may_not_go(tins: Lot) -> None:
    old = make.Packed(lots=[make.Sieved()], packed_on=make.today() - dt.timedelta(days=9))
    held = make.Packed(lots=[make.Sieved()], packed_on=make.today() - dt.timedelta(days=19))
    make.Held(lot=held)
    dispatch.parcels(Act("B"), **round_of(parcel(18), parcel(5)))
    assert list(PackMove.objects.order_by("pk").values_list("unit__lot__code", "pack_count")) == [(old.code, 18), (old.code, 2), (tins.code, 3)]
    assert verify_book() == []


def test_after_a_count_no_number_is_promised_to_a_subscriber(tins: Lot) -> None:
    send(Packs(tins.code, 2))
    dispatch.parcels(Act("B"), **round_of(parcel(3)))
    assert PackMove.objects.order_by("-pk")[0].first_no is None


@pytest.mark.parametrize(("parcels", "match"), [
    ([], "The list is empty"),
    ([parcel()] * 501, "501 parcels are too many"),
    ([parcel(), parcel(name=" ")], r"Row 2 \(–\): no name"),
    ([parcel(12), parcel(8), parcel(1)], "Row 3 .*: not enough packs of T30"),
    ([parcel(product="T99", count=0)] * 30, "And 10 rows more"),
])
def test_a_round_goes_whole_or_not_at_all(tins: Lot, parcels: list[Parcel], match: str) -> None:
    assert expect_refusal(dispatch.parcels, match, **round_of(*parcels)).field == "parcels"


def test_a_power_cut_leaves_no_half_round(tins: Lot, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, before, act, writes = round_of(parcel(3), parcel(7)), standing(), Act("B"), Writes(monkeypatch)
    writes.break_off(4)
    with pytest.raises(LightsOut):
        dispatch.parcels(act, **asked)
    assert standing() == before
    writes.last = -1
    first, again = dispatch.parcels(act, **asked), dispatch.parcels(act, **asked)
    assert (again.repeated, again.step) == (True, first.step)
    assert verify_book() == []
