"""Samples: taken from a lot with method and seal, gone from its stock, counted for the balance as what they are."""

from __future__ import annotations

import factory
import pytest

from lots.models import Flow, PackMove, PrivateValue, SampleTaken, Step
from lots.read.results import samples_waiting
from lots.read.verifying import verify_book
from lots.record import sampling, testing
from lots.record.acts import Act
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal, standing, take_back
from tests.record.breaking import LightsOut, Writes
from tests.record.labs import facts, laboratory

pytestmark = pytest.mark.usefixtures("mill")


class Sampled(make.Recorded):
    """A quarter of a kilogram of sieved powder."""

    _record = staticmethod(sampling.take)
    lot = factory.SubFactory(make.Sieved)
    sample_no = "A-1"
    method = "ISO 1839"
    mass = make.kg("0.250")
    taker = "Mio Mori"
    seal_no = "0815"


def test_a_sample_leaves_its_lot_and_is_lost_under_its_name() -> None:
    lot = make.Sieved()
    before = book_mg(lot)
    step = Sampled(lot=lot)
    assert book_mg(lot) == before - 250_000
    assert sorted(Flow.objects.filter(step=step).values_list("kind", "role", "mass_mg")) == [
        ("in", "sieved_powder", 250_000), ("lost", "sample", 250_000),
    ]
    row = SampleTaken.objects.get(step=step)
    assert (row.lot, row.sample_no, row.method, row.seal_no, row.laboratory) == (lot, "A-1", "ISO 1839", "0815", None)
    assert PrivateValue.objects.get(pk=row.taker).value == '"Mio Mori"'
    assert verify_book() == []


def test_whole_packs_are_opened_by_the_laboratory() -> None:
    tins = make.Packed()
    before = book_mg(tins)
    step = Sampled(lot=tins, mass=None, pack_count=2)
    move = PackMove.objects.get(step=step)
    assert (move.fate, move.pack_count, move.first_no) == ("destroyed", 2, None)
    lost = Flow.objects.get(step=step, kind="lost")
    assert (lost.role, lost.mass_mg) == ("sample", round(before * 2 / 20))
    assert book_mg(tins) == before - lost.mass_mg
    take_back(Step.objects.get(pk=step.pk))
    assert book_mg(tins) == before
    assert verify_book() == []


def test_a_sample_waits_until_its_first_result() -> None:
    laboratory()
    step = Sampled(laboratory="L1")
    row, = samples_waiting()
    assert (row.step, row.laboratory.code) == (step, "L1")
    testing.result(Act("A"), **facts(row.lot, sample_no="a-1") | {"lot": ""})
    assert samples_waiting() == []
    assert verify_book() == []


def test_a_number_that_was_used_before_is_asked_about() -> None:
    lot = SampleTaken.objects.get(step=Sampled()).lot
    again = {"lot": lot.code, "sample_no": "A-1", "method": "ISO 1839", "mass": make.kg("0.100"), "happened_at": make.next_moment()}
    expect_question(sampling.take, "A sample A-1 is in the book already", **again)
    assert verify_book() == []


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"sample_no": " "}, "number that stands on the bag", "sample_no"), ({"method": ""}, "such as ISO 1839", "method"),
    ({"mass": None}, "Weigh it", "mass_mg"), ({"mass": make.kg("0")}, "Weigh it", "mass_mg"), ({"lot": "X9"}, "No lot", "lot"),
    ({"laboratory": "L9"}, "register of parties", "laboratory"),
])
def test_what_cannot_be_understood_is_refused(other: dict[str, object], match: str, field: str) -> None:
    asked = {"lot": make.CrudeLeaf().code, "sample_no": "A-1", "method": "ISO 1839", "mass": make.kg("0.100")} | other
    assert expect_refusal(sampling.take, match, **asked).field == field


def test_packs_that_are_not_here_are_no_sample() -> None:
    tins = make.Packed()
    asked = {"lot": tins.code, "sample_no": "A-1", "method": "ISO 1839"}
    expect_refusal(sampling.take, "How many packs were taken", **asked)
    expect_refusal(sampling.take, "21 packs of", pack_count=21, **asked)


def test_the_power_goes_and_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = {"lot": make.Sieved().code, "sample_no": "A-1", "method": "ISO 1839", "mass": make.kg("0.1"), "happened_at": make.next_moment()}
    before, power = standing(), Writes(monkeypatch)
    for statement in (1, 3, 5):
        power.break_off(statement)
        with pytest.raises(LightsOut):
            sampling.take(Act("A"), **asked)
        assert standing() == before
    power.break_off(-1)
    act = Act("A")
    first, again = sampling.take(act, **asked), sampling.take(act, **asked)
    assert (again.seq, again.repeated) == (first.seq, True)
    assert verify_book() == []
