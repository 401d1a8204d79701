"""Each act is written once: broken off anywhere it leaves nothing, its answer lost it is given again, changed it is refused."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from lots.models import ActKey, Flow, JournalEntry
from lots.read.verifying import verify_book
from lots.record import (
    cleaning,
    correcting,
    counting,
    dispatch,
    drying,
    harvest,
    holding,
    milling,
    packing,
    refining,
    registers,
    shading,
    sieving,
    treatment,
    trimming,
)
from lots.record.acts import Act, Receipt, tidy
from lots.record.errors import Questioned, Refused
from lots.record.lines import Moisture, Weight
from lots.trade.stages import STAGES
from tests import factories as make
from tests import finishing
from tests.contracts.test_stages import by_factory
from tests.record.asking import REASON, line, standing
from tests.record.breaking import LightsOut, Writes

Told = tuple[Callable[..., Receipt], dict[str, Any], dict[str, Any]]


# One ordinary act of each kind, and something else that could be typed in its place --------------------------------------


def entering() -> Told:
    asked = {"table": "party", "code": "B3", "fields": {"name": "Teahouse West", "contact": {"telephone": "000-1"}, "roles": "consignee"}}
    return registers.enter, asked, {"code": "B4"}


def covering() -> Told:
    day = make.today() - dt.timedelta(days=2)
    make.FreshLeaf()
    return shading.cover, {"plot": "P1", "flush_no": 1, "covered_on": day}, {"covered_on": day - dt.timedelta(days=1)}


def treating() -> Told:
    return treatment.apply, {"plot": "P1", "applied_on": make.today(), "product": "Mite stop"}, {"product": "Leaf roller"}


def noticing() -> Told:
    return treatment.notice, {"plot": "P1", "sprays_on": make.today(), "product": "Mite stop"}, {"product": "Leaf roller"}


def trimming_a_plot() -> Told:
    return trimming.trim, {"plot": "P1", "trimmed_on": make.today(), "as_plucking": True}, {"as_plucking": False}


def taking_in() -> Told:
    asked = {
        "plot": "P1", "cultivar": "Saemidori", "flush_no": 1, "plucked_on": make.today(), "bag_count": 3,
        "fresh": make.kg("60", "S1", 3), "moisture": Moisture(Decimal("0.803")),
    }
    return harvest.intake, asked, {"fresh": make.kg("60.05", "S1", 3)}


def through_the_oven() -> Told:
    asked = {
        "lot": make.FreshLeaf().code, "crude": make.kg("10.41", "S2"), "crude_moisture": Moisture(Decimal("0.046")),
        "stem": make.kg("1.74", "S2"), "stem_moisture": Moisture(Decimal("0.051")), "losses": {"spill": make.kg("0.01")},
    }
    return drying.batch, asked, {"crude": make.kg("10.42", "S2")}


def sorting() -> Told:
    asked = {
        "lot": make.CrudeLeaf().code, "refined": make.kg("7.98", "S2"), "refined_moisture": Moisture(Decimal("0.03")),
        "by_products": {"vein_stem": make.kg("2.20")}, "by_product_moistures": {"vein_stem": Moisture(Decimal("0.046"), "assumed")},
    }
    return refining.batch, asked, {"grade": "first"}


def loading() -> Told:
    return milling.load, {"pair": "SP1", "lot": make.RefinedLeaf().code, "charge": make.kg("0.880"), "job": "J1"}, {"job": "J2"}


def taking_a_tub() -> Told:
    make.Load()
    return milling.tub, {"pair": "SP1", "powder": make.kg("0.886"), "ground_h": Decimal(22)}, {"ground_h": Decimal(21)}


def closing() -> Told:
    make.Load()
    make.Tub(powder=make.kg("0.774"))
    return milling.close, {"pair": "SP1", "left_over": make.kg("0.110")}, {"left_over": make.kg("0.111")}


def clearing() -> Told:
    return cleaning.clean, {"equipment": "SP1", "opened": True}, {"opened": False}


def through_the_sieve() -> Told:
    asked = {"lots": [tub.code for tub in make.mill().tubs], "screen": "SC150", "through": make.kg("1.757"), "oversize": make.kg("0.010")}
    return sieving.sieve, asked, {"oversize": make.kg("0.011")}


def filling() -> Told:
    series = [packing.Series("T30", 20, make.kg("0.604")), packing.Series("T30", 2, make.kg("0.060"), retained=True)]
    return packing.pack, {"lots": [make.Sieved().code], "series": series, "bulk": make.kg("1.086")}, {"bulk": make.kg("1.087")}


def sending() -> Told:
    packs = [dispatch.Packs(make.Packed().code, 6, 1)]
    return dispatch.consign, {"consignee": "B1", "packs": packs, "recipient": {"name": "K"}}, {"consignee": "B2"}


def shelf_counting() -> Told:
    leaf = make.RefinedLeaf()
    return counting.count, {"lot": leaf.code, "counted": Weight(leaf.mass_mg, "S2")}, {"counted": Weight(leaf.mass_mg - 10_000, "S2")}


def stopping() -> Told:
    return holding.hold, {"lot": make.chain().refined.code, "reason": "A smell of smoke"}, {"reason": "A smell of oil"}


def fetching_back() -> Told:
    return holding.fetch_back, {"lot": make.chain().sieved.code, "reason": "Metal", "what_to_do": "Bring it back"}, {"what_to_do": "Eat"}


def letting_go() -> Told:
    return holding.release, {"hold": make.Held().pk, "reason": "Result C-12"}, {"reason": "Result C-13"}


def adjusting() -> Told:
    leaf = make.chain().refined
    found = line(leaf.step, leaf)
    masses = {found.pk: found.mass_mg + 10_000}
    return correcting.adjust, {"step": leaf.step_id, "masses_mg": masses}, {"masses_mg": {found.pk: found.mass_mg + 20_000}}


def taking_back() -> Told:
    sent = make.chain().sent
    return correcting.reverse, {"step": sent.pk}, {"happened_at": make.next_moment() - dt.timedelta(minutes=1)}


ACTS = {
    "register.enter": entering, "shading.cover": covering, "treatment.apply": treating, "treatment.notice": noticing,
    "trimming.trim": trimming_a_plot, "harvest.intake": taking_in,
    "drying.batch": through_the_oven, "refining.batch": sorting, "milling.load": loading, "milling.tub": taking_a_tub,
    "milling.close": closing, "cleaning.clean": clearing, "sieving.pass": through_the_sieve, "packing.run": filling,
    "dispatch.consignment": sending, "counting.shelf": shelf_counting, "holding.hold": stopping, "holding.recall": fetching_back,
    "holding.release": letting_go, "correcting.adjust": adjusting, "correcting.reverse": taking_back,
    **finishing.ACTS,
}


#: Kinds whose story a factory tells: everything before them is recorded, and they themselves are caught on the way.
CAUGHT = sorted({f"{stage.key}.{part}" for stage in STAGES.values() for part in stage.parts} - set(ACTS))


class Caught(Exception):
    """An act on its way to the recorder."""


def caught(kind: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Told, Act]:
    """What the factory of a kind asks of its recorder, and as whom."""
    made_by = by_factory(kind)
    assert made_by is not None, f"no factory records {kind}"
    recorder = made_by._record

    def stop(act: Act, **asked: Any) -> None:
        raise Caught(act, asked)

    with monkeypatch.context() as patched:
        patched.setattr(made_by, "_record", staticmethod(stop))
        with pytest.raises(Caught) as held:
            made_by()
    act, asked = held.value.args
    return (recorder, asked, {"happened_at": asked["happened_at"] - dt.timedelta(minutes=1)}), act


def act_of(told: Told) -> Act:
    return Act("A", reason=REASON if told[0].kind.startswith("correcting") else "")


@pytest.mark.parametrize("kind", [*ACTS, *CAUGHT])
@pytest.mark.usefixtures("mill")
def test_an_act_is_written_once_whatever_breaks(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    told, caught_act = (ACTS[kind](), None) if kind in ACTS else caught(kind, monkeypatch)
    recorder, asked, other = told
    asked = {"happened_at": make.next_moment()} | asked if recorder is not registers.enter else asked
    act, before = caught_act or act_of(told), standing()
    writes = Writes(monkeypatch)
    broken = 0
    while True:  # not written: broken off before its first statement, its second, and so on to the last
        writes.break_off(before=broken + 1)
        try:
            first = recorder(act, **asked)
        except LightsOut:
            broken += 1
            assert standing() == before
            assert not ActKey.objects.filter(act_id=act.id).exists()
        else:
            break
    assert broken >= 5
    written = standing()
    assert (first.repeated, first.kind) == (False, kind)
    # written, and the answer lost
    again = recorder(act, **asked)
    assert again == replace(first, repeated=True)
    with pytest.raises(Refused, match="sent before with other content") as refused:
        recorder(act, **asked | other)
    assert f"entry {first.seq}" in refused.value.sentence
    with pytest.raises(Refused, match="sent before with other content"):
        recorder(replace(act, badge="B" if act.badge != "B" else "A"), **asked)
    assert standing() == written
    assert verify_book() == []


def test_every_kind_has_a_story() -> None:
    assert {*ACTS, *CAUGHT} == {f"{stage.key}.{part}" for stage in STAGES.values() for part in stage.parts} | {"register.enter"}
    assert [kind for kind in CAUGHT if by_factory(kind) is None] == []


@pytest.mark.usefixtures("mill")
def test_a_second_question_is_asked_with_the_first_so_that_no_reason_answers_it_unread() -> None:
    make.Treated(applied_on=make.today())
    recorder, asked, _ = taking_in()
    with pytest.raises(Questioned) as questioned:
        recorder(Act("A"), **asked | {"bag_count": 1})
    assert "kg a bag" in questioned.value.sentence
    assert "Mite stop" in questioned.value.sentence
    assert questioned.value.field == "fresh_mg"


@pytest.mark.usefixtures("mill")
def test_a_refusal_comes_before_any_question() -> None:
    recorder, asked, _ = taking_in()
    with pytest.raises(Refused, match="register of cultivars"):
        recorder(Act("A"), **asked | {"bag_count": 1, "cultivar": "Nobody"})


@pytest.mark.usefixtures("mill")
def test_equal_content_is_equal_however_it_was_spelled() -> None:
    recorder, asked, _ = taking_a_tub()
    act = Act("A")
    first = recorder(act, **asked)
    for hours in ("22.0", "22.00", "2.2e1"):
        assert recorder(act, **asked | {"ground_h": Decimal(hours)}).seq == first.seq
    assert verify_book() == []


@pytest.mark.usefixtures("mill")
def test_an_id_belongs_to_one_kind_of_act() -> None:
    act = Act("A")
    cleaning.clean(act, equipment="SP1", opened=True)
    with pytest.raises(Refused, match="sent before"):
        treatment.apply(act, plot="P1", applied_on=make.today(), product="Mite stop")


@pytest.mark.usefixtures("mill")
def test_what_is_recorded_is_given_by_name() -> None:
    with pytest.raises(TypeError, match="given by name"):
        cleaning.clean(Act("A"), "SP1", True)


@pytest.mark.usefixtures("mill")
@pytest.mark.parametrize(("asked", "match"), [
    ({"result": "half \udc00"}, "half a character"), ({"result": "bell\x00"}, "cannot be printed"),
])
def test_text_that_no_journal_holds_is_refused_in_a_sentence(asked: dict[str, str], match: str) -> None:
    with pytest.raises(Refused, match=match):
        cleaning.clean(Act("A"), equipment="SP1", opened=True, **asked)


def test_tidying_leaves_everything_but_text_as_it_is() -> None:
    act_id = uuid.uuid4()
    value = {"a\u0301": [Weight(5, "S\u0301"), (Decimal("1.50"), None, True, act_id)], "how": Flow.How.MEASURED}
    assert tidy(value) == {"\u00e1": [Weight(5, "\u015a"), (Decimal("1.50"), None, True, act_id)], "how": Flow.How.MEASURED}


@pytest.mark.usefixtures("mill")
def test_ids_have_no_gaps_after_acts_that_broke_off(monkeypatch: pytest.MonkeyPatch) -> None:
    recorder, asked, _ = through_the_oven()
    writes = Writes(monkeypatch)
    for before in range(1, 9):
        writes.break_off(before=before)
        with pytest.raises(LightsOut):
            recorder(Act("A"), **asked)
    writes.break_off(before=-1)
    recorder(Act("A"), **asked)
    seqs = list(JournalEntry.objects.order_by("seq").values_list("seq", flat=True))
    flows = list(Flow.objects.order_by("pk").values_list("pk", flat=True))
    assert seqs == list(range(len(seqs)))
    assert flows == list(range(1, len(flows) + 1))
    assert verify_book() == []
