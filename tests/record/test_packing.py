"""Tins and bags: series of like packs, kept samples, bulk left; every pack's code is computed from its run's own secret."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal

import pytest

from lots.codes.packs import belongs, pack_code, split
from lots.models import JournalEntry, Lot, PackedUnit, PackingRun, PackSecret, Step
from lots.read.balances import node_of
from lots.read.pack_pages import find_pack
from lots.read.series import series_state
from lots.read.verifying import verify_book
from lots.record import packing
from lots.record.acts import Act
from lots.record.lines import Weight
from lots.record.packing import Closed, Series
from lots.trade.best_before import BestBefore, months_later
from lots.trade.weighing import Verdict
from tests import factories as make
from tests.record.asking import book_mg, expect_question, expect_refusal, take_back

pytestmark = pytest.mark.usefixtures("mill")
TINS, BAGS = Series("T30", 20, make.kg("0.604")), Series("B100", 5, make.kg("0.501"))
KEPT = Series("T30", 2, make.kg("0.060"), retained=True)


def run(powder: list[Lot], **other: object) -> dict[str, object]:
    """What 1.756 kg of powder give."""
    return {
        "lots": [lot.code for lot in powder], "series": [TINS, BAGS, KEPT], "bulk": make.kg("0.585"), "filler": "FILL1",
        "happened_at": make.next_moment(),
    } | other


def test_a_run_opens_one_series_for_each_kind_and_numbers_go_on_through_it() -> None:
    powder = make.Sieved()
    receipt = packing.pack(Act("B"), **run([powder], maker_ref="K26-01"))
    units = list(PackedUnit.objects.filter(step=receipt.step).order_by("pk"))
    assert [(u.first_no, u.last_no, u.retained, u.lot.material) for u in units] == [
        (1, 20, False, "packed_tea"), (21, 25, False, "packed_tea"), (26, 27, True, "retained_tea"),
    ]
    assert {u.lot.maker_ref for u in units} == {"K26-01"}
    assert [u.mean_mg for u in units] == [30_200, 100_200, 30_000]
    assert Lot.objects.get(code=receipt.lots[3]).material == "bulk_powder"
    assert (book_mg(powder), series_state(units[0]).here_count) == (0, 20)
    assert node_of(receipt.step).balance.verdict is Verdict.ADDS_UP
    assert verify_book() == []


def test_every_pack_has_a_code_that_only_its_run_s_secret_gives() -> None:
    receipts = [packing.pack(Act("B"), **run([make.Sieved()])) for _ in range(2)]
    numbers = [PackingRun.objects.get(step=r.step).run_no for r in receipts]
    secrets = [bytes(PackSecret.objects.get(pk=n).secret) for n in numbers]
    codes = {pack_code(numbers[0], n, secrets[0]) for n in range(1, 28)}
    assert numbers[1] == numbers[0] + 1
    assert len(codes) == 27
    assert all(belongs(split(code), secrets[0]) and not belongs(split(code), secrets[1]) for code in codes)
    assert all(secrets[0] not in bytes(body) for body in JournalEntry.objects.values_list("body", flat=True))
    assert verify_book() == []


def test_best_before_counts_from_the_day_of_filling() -> None:
    yesterday = make.today() - dt.timedelta(days=1)
    receipt = packing.pack(Act("B"), **run([make.Sieved()], packed_on=yesterday))
    unit = PackedUnit.objects.filter(step=receipt.step).first()
    assert (unit.packed_on, unit.best_before_on) == (yesterday, yesterday + dt.timedelta(days=183))
    assert verify_book() == []


def test_a_blend_takes_the_shares_of_its_powders_by_dry_mass() -> None:
    one = make.Sieved()
    other = make.Sieved(lots=make.mill(make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot="P2"))), pair="SP2", tub_count=1).tubs)
    whole_mg = book_mg(one) + book_mg(other)
    bulk = make.kg(str(Decimal(whole_mg - 1_175_000) / 1_000_000))
    receipt = packing.pack(Act("B"), **run([one, other], bulk=bulk))
    shares = dict(Step.objects.get(pk=receipt.step).shares.values_list("plot_code", "share_frac"))
    assert shares == {"P1": pytest.approx(book_share(one, other)), "P2": pytest.approx(1 - book_share(one, other))}
    assert sum(shares.values()) == pytest.approx(1, abs=1e-9)
    assert verify_book() == []


def book_share(one: Lot, other: Lot) -> float:
    return one.mass_mg / (one.mass_mg + other.mass_mg)


def test_packs_that_weigh_more_than_the_powder_are_asked_about() -> None:
    expect_question(packing.pack, "Look at the scale", badge="B", **run([make.Sieved()], bulk=make.kg("0.885")))
    assert verify_book() == []


def test_a_run_that_did_not_happen_leaves_void_packs_and_its_powder_back_on_the_shelf() -> None:
    powder = make.Sieved()
    receipt = packing.pack(Act("B"), **run([powder]))
    unit = PackedUnit.objects.filter(step=receipt.step).first()
    code = pack_code(unit.run_no, 1, bytes(PackSecret.objects.get(pk=unit.run_no).secret))
    assert find_pack(split(code)) is not None
    take_back(receipt.step)
    assert find_pack(split(code)) is None
    assert (series_state(unit).here_count, book_mg(unit.lot), book_mg(powder)) == (0, 0, powder.mass_mg)
    assert verify_book() == []


@pytest.mark.parametrize(("rule", "start", "end"), [
    ({"keeps_days": 90}, "packing", lambda day: day + dt.timedelta(days=90)),
    ({"keeps_months": 6}, "packing", lambda day: months_later(day, 6)),
    ({"keeps_months": 6, "keeps_from": "milling"}, "milling", lambda day: months_later(day, 6)),
    ({"keeps_months": 6, "best_before_form": "month"}, "packing", BestBefore(0, 6, form="month").on),
])
def test_best_before_follows_from_the_rule_of_the_product(rule: dict[str, object], start: str, end: Callable[[dt.date], dt.date]) -> None:
    make.enter("product", "T40", name="Tin of 40 g", kind="tin", net_mg=40_000, **rule)
    milled_on, powder = make.today(), make.Sieved()
    later = make.next_moment() + dt.timedelta(days=5)
    receipt = packing.pack(Act("B"), **run([powder], series=[Series("T40", 29, make.kg("1.165"))], happened_at=later))
    unit = PackedUnit.objects.get(step=receipt.step)
    assert unit.best_before_on == end(milled_on if start == "milling" else unit.packed_on)
    assert verify_book() == []


def test_a_rule_too_short_for_year_and_month_is_said_at_the_product() -> None:
    make.enter("product", "T40", name="Tin of 40 g", kind="tin", net_mg=40_000, keeps_months=3, best_before_form="month")
    refused = expect_refusal(packing.pack, "more than three months", **run([make.Sieved()], series=[Series("T40", 29, make.kg("1.165"))]))
    assert refused.field == "product"


@pytest.mark.parametrize(("other", "match", "field"), [
    ({"lots": []}, "Scan the powder", "lots"),
    ({"series": []}, "No packs were typed", "series"),
    ({"series": [Series("T30", 0, make.kg("0.6"))]}, "it holds 1 to 1,048,575", "pack_count"),
    ({"series": [TINS, Series("T30", 2**20 - 20, make.kg("0.5"))]}, "it holds 1 to 1,048,575", "pack_count"),
    ({"series": [Series("T99", 20, make.kg("0.6"))]}, "register of products", "product"),
    ({"series": [Series("T30", 20, Weight(0))]}, "more than nothing", ""),
    ({"bulk": Weight(-1)}, "more than nothing", ""),
    ({"filler": "FILL9"}, "register of machines", "filler"),
    ({"closed": Closed(Decimal("1.2"))}, "120.0 % cannot be", "room_rh_frac"),
    ({"closed": Closed(gas="helium")}, "helium is none of them", "gas"),
    ({"losses": {"moths": make.kg("0.01")}}, "moths is not a loss that is known here. Name it spill or .* or spoiled", "losses"),
])
def test_what_cannot_be_understood_is_refused_at_its_field(other: dict[str, object], match: str, field: str) -> None:
    assert expect_refusal(packing.pack, match, badge="B", **run([make.Sieved()]) | other).field == field


def test_what_packs_were_closed_in_stands_with_the_run() -> None:
    closed = Closed(Decimal("0.38"), "nitrogen", Decimal("0.012"))
    receipt = packing.pack(Act("B"), **run([make.Sieved()], closed=closed))
    row = PackingRun.objects.get(step=receipt.step)
    assert (row.room_rh_frac, row.gas, row.oxygen_frac) == (Decimal("0.38"), "nitrogen", Decimal("0.012"))
    assert verify_book() == []


def test_packs_of_tomorrow_are_refused() -> None:
    assert expect_refusal(packing.pack, "has not come yet", **run([make.Sieved()], packed_on=make.today() + dt.timedelta(days=1))).field == "packed_on"


def test_a_series_may_be_as_long_as_its_numbers_reach() -> None:
    receipt = packing.pack(Act("B", reason="A test of the largest series"), **run([make.Sieved()], series=[Series("T30", 2**20 - 1, make.kg("1.1"))]))
    unit = PackedUnit.objects.get(step=receipt.step)
    assert (unit.last_no, unit.mean_mg) == (2**20 - 1, 1)
    assert verify_book() == []
