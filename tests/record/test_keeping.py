"""Kept samples: placed until a day by rule, met or missed by a round, disposed of before a witness."""

from __future__ import annotations

import datetime as dt

import pytest

from lots.models import Flow, PackedUnit, SamplePlace, SampleSeen
from lots.read.kept_samples import kept_samples, last_round, round_told
from lots.read.outgoing import series_of
from lots.read.recalling import series_fact
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import keeping
from lots.record.acts import Act
from lots.record.keeping import Seen
from lots.trade.lineage import Tier
from tests import factories as make
from tests.finishing import Disposed, Placed, Rounded, due_samples, kept_lot, later
from tests.record.asking import book_mg, expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes

pytestmark = pytest.mark.usefixtures("mill")


def test_samples_stand_somewhere_until_a_day_that_follows_from_the_rule() -> None:
    lot = kept_lot()
    unit = PackedUnit.objects.get(lot=lot)
    Placed(lot=lot)
    Placed(lot=lot, place="Shelf 5")
    one, = kept_samples()
    assert (one.place, one.until_on, one.here_count) == ("Shelf 5", unit.best_before_on + dt.timedelta(days=90), 2)
    assert SamplePlace.objects.count() == 2
    assert verify_book() == []


def test_a_round_names_what_is_missing() -> None:
    first, second = kept_lot(), kept_lot()
    Placed(lot=second)
    step = Rounded(seen=[Seen(first.code), Seen(second.code, 1)])
    told = round_told(step.pk)
    assert (told.expected_count, told.seen_count) == (4, 3)
    assert [(lot.code, place, count) for lot, place, count in told.missing] == [(second.code, "Cold room, shelf 4", 1)]
    assert [one.missing_count for one in kept_samples()] == [0, 1]
    assert verify_book() == []


def test_a_series_that_nobody_scanned_is_missing_whole() -> None:
    first, second = kept_lot(), kept_lot()
    Rounded(seen=[Seen(first.code)])
    assert SampleSeen.objects.get(unit__lot=second).seen_count == 0
    assert last_round().missing[0][2] == 2


def test_samples_that_the_book_does_not_have_are_asked_about() -> None:
    lot = kept_lot()
    expect_question(keeping.walk_round, "3 samples of .* were met, and the book has 2", seen=[Seen(lot.code, 3)], happened_at=make.next_moment())
    assert verify_book() == []


def test_a_round_that_did_not_happen_is_not_told() -> None:
    take_back(Rounded())
    assert last_round() is None
    assert [one.missing_count for one in kept_samples()] == [None]


def test_samples_whose_time_is_over_go_before_a_witness_and_their_mass_with_them() -> None:
    lot = due_samples()
    assert [one.due(one.until_on + dt.timedelta(days=1)) for one in kept_samples()] == [True]
    receipt = keeping.dispose(Act("C"), lot=lot.code, pack_count=2, how="composted", witness="A", happened_at=later())
    assert (book_mg(lot), kept_samples()) == (0, [])
    assert Flow.objects.get(step=receipt.step, kind="lost").mass_mg == 60_000
    assert series_state(PackedUnit.objects.get(lot=lot)).here_count == 0
    assert verify_book() == []


def test_a_disposal_that_did_not_happen_leaves_the_samples_where_they_were() -> None:
    lot = kept_lot()
    take_back(Disposed(lot=lot))
    unit = PackedUnit.objects.get(lot=lot)
    assert (series_state(unit).here_count, book_mg(lot), kept_samples()[0].here_count) == (2, lot.mass_mg, 2)
    assert verify_book() == []


def test_a_sample_before_its_time_and_one_that_is_stopped_are_asked_about() -> None:
    lot = kept_lot()
    asked = {"lot": lot.code, "pack_count": 1, "how": "composted", "witness": "A", "happened_at": make.next_moment()}
    expect_question(keeping.dispose, "must stay until", badge="C", **asked)
    due = due_samples()
    make.Held(lot=due)
    expect_question(keeping.dispose, "may still be needed as evidence", badge="C", **asked | {"lot": due.code, "happened_at": later()})
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"pack_count": 3}, "3 samples of .* cannot be disposed of: 2 are here", "pack_count"),
    ({"pack_count": 0}, "0 samples", "pack_count"), ({"how": " "}, "what was done", "how"),
    ({"witness": "C"}, "another person", "witness"), ({"witness": "Z"}, "register of staff", "witness"),
])
def test_a_disposal_that_cannot_be_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"lot": due_samples().code, "pack_count": 1, "how": "composted", "witness": "A", "happened_at": later()} | other
    assert expect_refusal(keeping.dispose, match, badge="C", **asked).field == field


def test_packs_for_sale_are_no_samples() -> None:
    tins = make.Packed()
    assert expect_refusal(keeping.place, "are packs for sale", lot=tins.code, place="Shelf 4").field == "lot"
    assert expect_refusal(keeping.walk_round, "are packs for sale", seen=[Seen(tins.code)]).field == "seen"
    assert expect_refusal(keeping.place, "Say where", lot=kept_lot(tins).code, place=" ").field == "place"
    assert expect_refusal(keeping.walk_round, "Scan the samples", seen=[]).field == "seen"


def test_disposed_samples_are_counted_once_in_a_recall() -> None:
    lot = kept_lot()
    Disposed(lot=lot)
    kept = next(one for one in series_of({lot.step_id: Tier.CONTAINS}, {}) if one.retained)
    fact = series_fact(kept, None)
    assert (fact.retained_count, fact.destroyed_count, fact.made_count) == (1, 1, 2)


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = {"seen": [Seen(kept_lot().code)], "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            keeping.walk_round(Act("C"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("C")
    first, again = keeping.walk_round(act, **asked), keeping.walk_round(act, **asked)
    assert (again.seq, again.repeated) == (first.seq, True)
    assert verify_book() == []
