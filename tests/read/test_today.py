"""What is open today in a small mill."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from lots.models import Lot
from lots.read.entries import entry_page
from lots.read.today import Today, today
from lots.record.acts import Act
from lots.record.lines import Moisture
from lots.record.registers import enter
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_mill() -> None:
    factories.found_small_mill()


def now() -> Today:
    return today(timezone.now())


def test_a_book_without_leaf() -> None:
    facts = now()
    assert (facts.newest_at, facts.leaf, facts.tubs, facts.faults, facts.unexplained_mg, facts.days_quiet_count) == (None, (), (), (), 0, 0)
    assert [p.code for p in facts.pairs] == ["SP1", "SP2"]


def test_leaf_tubs_and_oversize_that_wait() -> None:
    factories.FreshLeaf()
    leaf = factories.RefinedLeaf()
    factories.Sieved(lots=factories.mill(leaf, job="J1").tubs)
    factories.mill(leaf, job="J2", tub_count=3)
    facts = now()
    assert [(b.material, b.lot_count) for b in facts.leaf] == [("fresh_leaf", 1)]
    assert [(b.job, b.lot_count, b.mass_mg) for b in facts.tubs] == [("J2", 3, 3 * 886_000)]
    assert [o.lot.material for o in facts.oversize] == ["oversize"]


def test_open_runs_and_when_they_run_dry() -> None:
    factories.Load()
    facts = now()
    assert [p.code for p in facts.milling] == ["SP1"]


def test_holds_that_stand_the_most_kilograms_first() -> None:
    small, large = factories.CrudeLeaf(), factories.FreshLeaf()
    factories.Held(lot=small)
    factories.Held(lot=large)
    assert [s.lot.code for s in now().stopped] == [large.code, small.code]


def test_powder_over_the_ceiling_until_somebody_holds_it() -> None:
    enter(Act("F"), table="house", code="HOUSE", fields={"name": "Small mill", "moisture_ceiling_frac": Decimal("0.05000")})
    leaf = factories.RefinedLeaf()
    factories.Load(lot=leaf)
    factories.Tub(moisture=Moisture(Decimal("0.057")))
    facts = now()
    assert [(b.job, b.moisture_frac) for b in facts.wet] == [("J1", 0.057)]
    factories.Held(lot=Lot.objects.get(material="tub_powder"))
    assert now().wet == ()


def test_how_long_nobody_wrote() -> None:
    factories.FreshLeaf()
    facts = today(timezone.now() + dt.timedelta(days=100))
    assert facts.days_quiet_count >= 100
    assert facts.recent[0].stage == "harvest"


def test_as_many_questions_when_more_is_open() -> None:
    factories.chain()
    with CaptureQueriesContext(connection) as few:
        now()
    factories.chain(plot="P2", job="J2")
    factories.FreshLeaf()
    factories.CrudeLeaf()
    factories.Held(lot=Lot.objects.filter(material="stem")[0])
    with CaptureQueriesContext(connection) as many:
        now()
    assert len(many) <= len(few) + 1


def test_an_entry_says_what_its_bytes_say() -> None:
    leaf = factories.CrudeLeaf(badge="B")
    page = entry_page(leaf.step.entry_id)
    assert page is not None
    assert (page.kind, page.badge, page.hash_fits) == ("drying.batch", "B", True)
    assert [s.stage for s in page.steps] == ["drying"]
    assert {t.lot.material: t.n for t in page.lots} == {"fresh_leaf": 2, "crude_leaf": 1, "stem": 1}
    assert dict(page.row_counts)["flow"] == 3
    assert f'"seq":{page.seq},' in page.body
    assert entry_page(10_000) is None


def test_an_entry_knows_its_correction_and_back() -> None:
    fresh = factories.FreshLeaf()
    factories.TakenBack(step=fresh.step_id)
    first = entry_page(fresh.step.entry_id)
    assert first is not None
    last = entry_page(first.corrected_by[0])
    assert last is not None
    assert (last.corrects, last.is_last) == (first.seq, True)


def test_a_hold_is_an_entry_without_a_step() -> None:
    lot = factories.FreshLeaf()
    hold = factories.Held(lot=lot)
    page = entry_page(hold.entry_id)
    assert page is not None
    assert [(kind, name.code, why) for kind, name, why in page.holds] == [("hold", lot.code, "A smell of smoke")]
    assert page.steps == ()
