"""Taken out of stock: mass and packs leave their lot and are in exactly one place; stock, recall and period follow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from lots.balance.period import Column
from lots.models import Flow, Lot, PackedUnit, PackMove, PrivateValue, Removal
from lots.read.finding import find
from lots.read.label_words import leaf_of
from lots.read.origins import origins_of
from lots.read.period import PeriodBook, Span
from lots.read.recall_starts import at_lots
from lots.read.recalling import recall
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import holding, milling, removing
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.record.removing import Taken
from lots.trade.lineage import Tier
from tests import factories as make
from tests.house import Destroyed, Given, Lowered, Spilt, Used, book_mg
from tests.record.asking import expect_question, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")
YEARS = Span(dt.date(2000, 1, 1), dt.date(2100, 1, 1))


def refused(recorder: Callable[..., Receipt], match: str, **asked: Any) -> Refused:
    """The recorder refuses, and nothing is written."""
    before = standing()
    with pytest.raises(Refused, match=match) as caught:
        recorder(Act("A"), **asked)
    assert standing() == before
    return caught.value


def columns() -> dict[Column, float]:
    """What each column of all sheets together has, dry."""
    found: dict[Column, float] = {}
    for sheet in PeriodBook().sheets(YEARS):
        assert abs(sheet.rest_mg) < 5, (sheet.group, sheet.state)
        for column in Column:
            found[column] = found.get(column, 0.0) + sheet.dry_mg(column)
    return found


def dry(step: int) -> float:
    return sum(line.mass_mg * (1 - float(line.moisture_frac or 0)) for line in Flow.objects.filter(step=step, kind="lost"))


@pytest.mark.parametrize(("factory", "column"), [
    (Spilt, Column.LOST), (Destroyed, Column.LOST), (Used, Column.OWN_USE), (Given, Column.OWN_USE),
])
def test_what_is_taken_out_is_in_one_place_and_in_one_column(factory: type[make.Recorded], column: Column) -> None:
    before, step = columns_before(factory)
    after = columns()
    assert after[column] - before[column] == pytest.approx(dry(step), abs=5)
    assert before[Column.CLOSING] - after[Column.CLOSING] == pytest.approx(dry(step), abs=5)
    assert {key for key in Column if abs(after[key] - before[key]) > 5} == {column, Column.CLOSING}
    assert sum(f.mass_mg for f in Flow.objects.filter(step=step, kind="in")) == sum(f.mass_mg for f in Flow.objects.filter(step=step, kind="lost"))
    assert verify_book() == []


def columns_before(factory: type[make.Recorded]) -> tuple[dict[Column, float], int]:
    """The columns before an act whose lot stands there already, and the act's step."""
    lot = make.RefinedLeaf() if factory is Spilt else make.Packed()
    before = columns()
    taken = Taken(lot.code, make.kg("0.100")) if factory is Spilt else Taken(lot.code, pack_count=3, first_no=2)
    return before, factory(taken=taken).pk


def test_packs_by_number_are_gone_and_by_count_too() -> None:
    packed = make.Packed()
    unit = PackedUnit.objects.get(lot=packed)
    Destroyed(taken=Taken(packed.code, pack_count=5, first_no=1))
    Used(taken=Taken(packed.code, pack_count=2))
    Given(taken=Taken(packed.code, pack_count=3, first_no=10))
    state = series_state(unit)
    assert (state.here_count, state.fate_of(3), state.fate_of(11), state.fate_of(15)) == (10, "destroyed", "given", "")
    asked = {"taken": Taken(packed.code, pack_count=1, first_no=10), "why": "Tasted", "happened_at": make.next_moment()}
    assert refused(removing.own_use, "number 10 has gone before", **asked).field == "packs"
    assert book_mg(packed) == pytest.approx(packed.mass_mg / 2, abs=3)
    assert verify_book() == []


def test_a_recall_counts_what_was_destroyed_and_used_and_reaches_who_was_given_some() -> None:
    told = make.chain()
    packed = told.packed[0]
    Destroyed(taken=Taken(packed.code, pack_count=2, first_no=10))
    Used(taken=Taken(packed.code, pack_count=1))
    gift = Given(taken=Taken(packed.code, pack_count=3, first_no=15))
    answer = recall(at_lots(find(told.refined.code)))
    scope = next(one for one in answer.scope.of_tier(Tier.CONTAINS) if one.fact.series == packed.series.pk)
    assert (scope.fact.destroyed_count, scope.dispatched_count, scope.by_book_count) == (3, 9, 8)
    person = answer.consignees[f"gift-{gift.pk}"]
    assert (person.name, person.contact) == ("Nanako Ito", ("telephone 17",))
    assert f"gift-{gift.pk}" in answer.scope.exact


def test_taking_a_removal_back_brings_packs_and_mass_again() -> None:
    packed = make.Packed()
    unit = PackedUnit.objects.get(lot=packed)
    for step in (Destroyed(taken=Taken(packed.code, pack_count=5, first_no=1)), Given(taken=Taken(packed.code, pack_count=3, first_no=10)),
                 Used(taken=Taken(packed.code, pack_count=2))):
        take_back(step)
    state = series_state(unit)
    assert (state.here_count, state.first_gone_in(1, 20), book_mg(packed)) == (20, None, packed.mass_mg)
    assert PackMove.objects.filter(fate=PackMove.Fate.RESTORED).count() == 2
    assert verify_book() == []


def test_a_gift_is_sealed() -> None:
    row = Removal.objects.get(pk=Given().pk)
    assert len(row.recipient) == 64
    assert '"Nanako Ito"' in set(PrivateValue.objects.values_list("value", flat=True))


def test_destruction_has_another_witness_and_says_how() -> None:
    packed = make.Packed()
    asked = {"taken": Taken(packed.code, pack_count=1, first_no=1), "how": "burnt", "witness": "A", "happened_at": make.next_moment()}
    assert refused(removing.destroy, "another person", **asked).field == "witness"
    assert refused(removing.destroy, "register of staff", **asked | {"witness": "Z"}).field == "witness"
    assert refused(removing.destroy, "how it was destroyed", **asked | {"witness": "C", "how": " "}).field == "how"


def test_what_is_fetched_back_is_destroyed_with_evidence_and_neither_used_nor_given() -> None:
    packed = make.Packed()
    holding.fetch_back(Act("D"), lot=packed.code, reason="Smoke", what_to_do="Bring it back.", happened_at=make.next_moment())
    taken, at = Taken(packed.code, pack_count=20, first_no=1), {"happened_at": make.next_moment()}
    asked = {"taken": taken, "how": "burnt", "witness": "C", **at}
    assert refused(removing.destroy, "name the evidence", **asked).field == "evidence"
    assert refused(removing.gift, "stopped by a recall", taken=taken, recipient="Nanako", **at).field == "lot"
    assert refused(removing.own_use, "stopped by a recall", taken=taken, why="Tasted", **at).field == "lot"
    Destroyed(taken=taken, evidence="Ticket 12 of the incinerator")
    assert (series_state(PackedUnit.objects.get(lot=packed)).here_count, book_mg(packed)) == (0, 0)
    assert verify_book() == []


def test_lowered_leaf_is_another_lot_and_everything_made_of_it_is_conventional() -> None:
    leaf = make.RefinedLeaf()
    assert {origin.state for origin in origins_of([leaf.step_id])[leaf.step_id]} == {"organic"}
    before = columns()
    made = Lowered(taken=Taken(leaf.code))
    sieved = make.Sieved(lots=make.mill(made).tubs)
    packed = make.Packed(lots=[sieved])
    assert (book_mg(leaf), made.mass_mg) == (0, leaf.mass_mg)
    assert {share.state for share in leaf_of(packed.step_id)} == {"conventional"}
    assert {origin.state for origin in origins_of([packed.step_id])[packed.step_id]} == {"conventional"}
    assert {origin.state for origin in origins_of([leaf.step_id])[leaf.step_id]} == {"organic"}
    assert columns()[Column.DOWNGRADED] - before[Column.DOWNGRADED] == pytest.approx(make.dry_mg(made) + drawn(made), rel=1e-4)
    assert verify_book() == []


def drawn(lot: Lot) -> float:
    return sum(f.mass_mg * (1 - float(f.moisture_frac or 0)) for f in Flow.objects.filter(lot=lot, kind="in"))


def test_a_part_is_lowered_and_the_rest_stays_what_it_was() -> None:
    leaf = make.RefinedLeaf()
    made = Lowered(taken=Taken(leaf.code, make.kg("1.00", "S2")), grade="Second")
    assert (made.mass_mg, book_mg(leaf)) == (1_000_000, leaf.mass_mg - 1_000_000)
    asked = {"taken": Taken(made.code), "state": "in conversion", "why": "Again", "happened_at": make.next_moment()}
    assert refused(removing.downgrade, "is conventional already", **asked).field == "state"
    packs = {"taken": Taken(make.Packed().code), "state": "conventional", "why": "Again", "happened_at": make.next_moment()}
    assert refused(removing.downgrade, "bear a label", **packs).field == "lot"
    take_back(made.step)
    assert book_mg(leaf) == leaf.mass_mg
    assert verify_book() == []


def test_more_than_the_book_has_is_asked_about() -> None:
    leaf = make.RefinedLeaf()
    asked = {"taken": Taken(leaf.code, make.kg("11.000")), "happened_at": make.next_moment()}
    expect_question(removing.spill, "are taken", **asked)
    assert verify_book() == []


def test_warm_up_powder_is_a_material_of_its_own_with_a_fate() -> None:
    make.Load(job="warm-up", charge=make.kg("0.200"))
    receipt = milling.tub(
        Act("A"), pair="SP1", powder=make.kg("0.201"), ground_h=make.Decimal(5), warm_up=True, moisture=make.Moisture(make.POWDER_W),
        happened_at=make.next_moment(),
    )
    make.Closed()
    powder = Lot.objects.get(code=receipt.lots[0])
    assert powder.material == "warm_up_powder"
    Destroyed(taken=Taken(powder.code), how="composted")
    assert book_mg(powder) == 0
    assert verify_book() == []


def test_lights_out_before_and_after(monkeypatch: pytest.MonkeyPatch) -> None:
    packed = make.Packed()
    asked = {"taken": Taken(packed.code, pack_count=4, first_no=1), "how": "burnt", "witness": "C", "happened_at": make.next_moment()}
    act, writes = Act("A"), Writes(monkeypatch)
    writes.break_off(before=6)
    with pytest.raises(LightsOut):
        removing.destroy(act, **asked)
    writes.break_off(before=-1)
    assert book_mg(packed) == packed.mass_mg
    assert removing.destroy(act, **asked).seq == removing.destroy(act, **asked).seq
    assert Removal.objects.count() == 1
    assert verify_book() == []
