"""A small mill and lots at every stage of its chain, all written through the recorders, so that they add up.

* ``found_small_mill()`` opens an empty book: house, badges, plots, machines, scales, products, growers and buyers.
* ``hand(role)`` gives the account of a person with that role, who has a badge in the book.
* ``FreshLeaf()``, ``CrudeLeaf()``, ``RefinedLeaf()``, ``Load()``, ``Tub()``, ``Closed()``, ``Sieved()``, ``Packed()``, ``Sent()`` and
  the others record one act each, with everything before it where nothing is given, and return the lot that it opened
  (or its step, where it opened none).
* ``mill(leaf)`` runs one job on one pair; ``chain()`` goes from the field to the buyer.

Times rise with the journal, ten minutes an entry, and begin sixty days ago; nothing lies in the future.
"""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import factory
from django.contrib.auth.models import Group, User
from django.utils import timezone

from lots.models import Flow, Hold, JournalHead, Lot, Step, Stock
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
)
from lots.record.acts import Act, Receipt
from lots.record.dispatch import Packs
from lots.record.lines import Moisture, Weight
from lots.record.packing import Series

ACT_MINUTES = 10
BEGAN = (timezone.now() - dt.timedelta(days=60)).replace(minute=0, second=0, microsecond=0)
BADGES = {"clerk": "A", "packing": "B", "quality": "C", "recall_lead": "D", "auditor": "E", "administrator": "F"}
NAMES = {"clerk": "hana", "packing": "ren", "quality": "mio", "recall_lead": "sota", "auditor": "aoi", "administrator": "kei"}
CULTIVARS = {"P1": "Saemidori", "P2": "Okuyutaka", "P3": "Saemidori"}
FRESH_W, CRUDE_W, REFINED_W, POWDER_W = (Decimal(w) for w in ("0.80300", "0.04600", "0.03000", "0.04400"))


# The house -----------------------------------------------------------------------------------------------------------


def found_small_mill() -> None:
    """Three plots, two growers, two buyers, two stone pairs, three scales."""
    registers.found_house(Act("F"), house={"name": "Small mill", "name_ja": "小さな石臼", "contact": "line 12", "invented": True},
                          badge="F", name="Kei Mori", login=NAMES["administrator"])
    for role, badge in BADGES.items():
        if role != "administrator":
            enter("staff", badge, name=f"{NAMES[role].title()} Mori", login=NAMES[role])
    for code, division, s_r, accuracy, capacity, places in (
        ("S1", 50_000, 20_000, "III", 150_000_000, 2), ("S2", 10_000, 5_000, "III", 60_000_000, 2), ("S3", 1_000, 500, "II", 12_000_000, 3),
    ):
        enter("scale", code, name=f"scale {code}", division_mg=division, interval_mg=division, u_repeat_mg=Decimal(s_r),
              accuracy_class=accuracy, capacity_mg=capacity, decimals_count=places)
    for code, u_frac in (("fresh", "0.010"), ("crude", "0.003"), ("refined", "0.002"), ("powder", "0.002")):
        enter("moisture_rule", code, u_moisture_frac=Decimal(u_frac))
    for code, assumed in (("vein_stem", "0.046"), ("fines", "0.040"), ("off_colour", "0.046")):
        enter("moisture_rule", code, u_moisture_frac=Decimal("0.003"), assumed_frac=Decimal(assumed))
    enter_people_and_plots()
    enter_machines()


def enter_people_and_plots() -> None:
    for code, name, roles in (
        ("G1", "Kawasemi household", "grower"), ("G2", "Tsubame household", "grower"),
        ("B1", "Tea House East", "consignee"), ("B2", "Whisk and Bowl", "consignee"), ("V1", "Valley carriers", "carrier"),
    ):
        enter("party", code, name=name, contact=f"telephone {code}", roles=roles)
    for name in dict.fromkeys(CULTIVARS.values()):
        enter("cultivar", name, name=name)
    for code, name, grower, state in (
        ("P1", "Lantern Terrace", "G1", "organic"), ("P2", "Heron Bend", "G2", "conventional"), ("P3", "Stone Gate", "G2", "conventional"),
    ):
        enter("field_plot", code, name=name, area_a=Decimal("9.00"), altitude_m=210, planted_year=2006, state=state, grower=grower,
              place="35.01, 135.76", valley="Small valley", disclosed="plot")
        enter("planting", code, plot=code, cultivar=CULTIVARS[code], area_a=Decimal("9.00"), planted_year=2006)


def enter_machines() -> None:
    for code, kind in (("OVEN1", "oven"), ("SORT1", "sorter"), ("SP1", "stone_pair"), ("SP2", "stone_pair"), ("SIEVE1", "sieve"), ("FILL1", "filler")):
        enter("equipment", code, kind=kind, name=code.title())
    for code in ("SP1", "SP2"):
        enter("stone_pair", code, equipment=code, upper=f"U{code[-1]}", lower=f"L{code[-1]}", dressed_h=Decimal(100))
    enter("screen", "SC150", equipment="SIEVE1", aperture_um=150)
    enter("product", "T30", name="Powdered green tea, tin of 30 g", name_ja="抹茶 缶 30 g", kind="tin", net_mg=30_000, keeps_days=183)
    enter("product", "B100", name="Powdered green tea, bag of 100 g", name_ja="抹茶 袋 100 g", kind="bag", net_mg=100_000, keeps_days=183)


def enter(table: str, code: str, **fields: Any) -> Receipt:
    return registers.enter(Act(BADGES["administrator"]), table=table, code=code, fields=fields)


def hand(role: str = "clerk") -> User:
    """The account of the person with this role; the badge that goes with it is in the book of the small mill."""
    user, _ = User.objects.get_or_create(username=NAMES[role])
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


# Small helps ---------------------------------------------------------------------------------------------------------


def next_moment() -> dt.datetime:
    """When the next act happens: ten minutes after the last, never in the future."""
    size = JournalHead.objects.values_list("size", flat=True).first() or 0
    return min(BEGAN + dt.timedelta(minutes=ACT_MINUTES * size), timezone.now().replace(microsecond=0))


def today() -> dt.date:
    """The mill's day on which the next act happens."""
    return timezone.localtime(next_moment()).date()


def kg(mass: str | float | Decimal, scale: str = "S3", reading_count: int = 1) -> Weight:
    """A weighing as the desk gives it."""
    return Weight(int(Decimal(str(mass)) * 1_000_000), scale, reading_count)


def part(mass_mg: float, share: float, scale: str = "S3", reading_count: int = 1) -> Weight:
    """A share of a mass, as its scale shows it."""
    step = {"S1": 50_000, "S2": 10_000, "S3": 1_000}[scale]
    return Weight(round(mass_mg * share / step) * step, scale, reading_count)


def dry_mg(lot: Lot) -> float:
    """The dry matter that the book has of a lot."""
    wet = Flow.objects.get(lot=lot, step=lot.step_id, kind=Flow.Kind.OUT).moisture_frac or 0
    return Stock.objects.get(lot=lot).book_mg * (1 - float(wet))


def lots_of(step: Step, material: str) -> list[Lot]:
    """The lots of one material that a step opened."""
    return list(Lot.objects.filter(step=step, material=material).order_by("pk"))


# One factory for each act --------------------------------------------------------------------------------------------


class Recorded(factory.Factory):
    """Records one act. ``_record`` is the recorder; what is a lot is handed to it by its code."""

    class Meta:
        abstract = True
        model = Lot

    badge = "A"
    reason = ""
    act_id = factory.LazyFunction(uuid.uuid4)
    happened_at = None

    @classmethod
    def _create(cls, _model: Any, *_args: Any, badge: str, reason: str, act_id: uuid.UUID, **asked: Any) -> Any:
        # Only now: what comes before it was recorded while the facts were gathered.
        asked["happened_at"] = asked["happened_at"] or next_moment()
        receipt = cls._record(Act(badge, act_id, reason), **{name: plain(value) for name, value in asked.items()})
        return opened(receipt)


def plain(value: Any) -> Any:
    if isinstance(value, Lot):
        return value.code
    return [plain(v) for v in value] if isinstance(value, list) else value


def opened(receipt: Receipt) -> Lot | Step | Hold | Receipt:
    """The first lot that an act opened, else its step, else its hold."""
    if receipt.lots:
        return Lot.objects.get(code=receipt.lots[0])
    if receipt.step is not None:
        return Step.objects.get(pk=receipt.step)
    return Hold.objects.filter(entry=receipt.seq).first() or receipt


class Covered(Recorded):
    _record = staticmethod(shading.cover)
    plot = "P1"
    flush_no = 1
    covered_on = factory.LazyFunction(lambda: today() - dt.timedelta(days=23))


class Treated(Recorded):
    _record = staticmethod(treatment.apply)
    plot = "P1"
    applied_on = factory.LazyFunction(today)
    product = "Mite stop"
    interval_days = 14


class FreshLeaf(Recorded):
    _record = staticmethod(harvest.intake)
    plot = "P1"
    cultivar = factory.LazyAttribute(lambda o: CULTIVARS[o.plot])
    flush_no = 1
    plucked_on = factory.LazyFunction(today)
    bag_count = 3
    fresh = kg("60.00", "S1", 3)
    moisture = Moisture(FRESH_W)


class CrudeLeaf(Recorded):
    _record = staticmethod(drying.batch)
    lot = factory.SubFactory(FreshLeaf)
    crude = factory.LazyAttribute(lambda o: part(dry_mg(o.lot) / (1 - float(CRUDE_W)), 0.84, "S2"))
    crude_moisture = Moisture(CRUDE_W)
    stem = factory.LazyAttribute(lambda o: part(dry_mg(o.lot) / (1 - 0.051), 0.14, "S2"))
    stem_moisture = Moisture(Decimal("0.051"))
    oven = "OVEN1"


class RefinedLeaf(Recorded):
    _record = staticmethod(refining.batch)
    lot = factory.SubFactory(CrudeLeaf)
    refined = factory.LazyAttribute(lambda o: part(dry_mg(o.lot) / (1 - float(REFINED_W)), 0.78, "S2"))
    refined_moisture = Moisture(REFINED_W)
    by_products = factory.LazyAttribute(lambda o: {
        m: part(dry_mg(o.lot) / (1 - wet), share, "S3")
        for m, wet, share in (("vein_stem", 0.046, 0.14), ("fines", 0.040, 0.052), ("off_colour", 0.046, 0.020))
    })
    by_product_moistures = {
        "vein_stem": Moisture(Decimal("0.046"), "assumed"), "fines": Moisture(Decimal("0.040"), "assumed"),
        "off_colour": Moisture(Decimal("0.046"), "assumed"),
    }
    sorter = "SORT1"


class Load(Recorded):
    """A charge of 0.880 kg."""

    _record = staticmethod(milling.load)
    pair = "SP1"
    lot = factory.SubFactory(RefinedLeaf)
    charge = kg("0.880")
    job = "J1"


class Tub(Recorded):
    """What a charge of 0.880 kg gives: 40.3 g an hour."""

    _record = staticmethod(milling.tub)
    pair = "SP1"
    powder = kg("0.886")
    ground_h = Decimal(22)
    moisture = Moisture(POWDER_W)


class Closed(Recorded):
    _record = staticmethod(milling.close)
    pair = "SP1"
    left_over = kg("0.000")


class Cleaned(Recorded):
    _record = staticmethod(cleaning.clean)
    equipment = "SP1"
    opened = True
    result = "opened, brushed, nothing left"


class Sieved(Recorded):
    _record = staticmethod(sieving.sieve)
    lots = factory.LazyFunction(lambda: mill().tubs)
    screen = "SC150"
    through = factory.LazyAttribute(lambda o: part(sum(t.mass_mg for t in o.lots), 0.991))
    oversize = factory.LazyAttribute(lambda o: part(sum(t.mass_mg for t in o.lots), 0.006))


class Packed(Recorded):
    """Twenty tins, kept samples and what is left over, from all of the powder."""

    _record = staticmethod(packing.pack)
    lots = factory.LazyFunction(lambda: [Sieved()])
    series = [
        Series("T30", 20, kg("0.604", "S3")), Series("B100", 5, kg("0.501", "S3")), Series("T30", 2, kg("0.060", "S3"), retained=True),
    ]
    bulk = factory.LazyAttribute(lambda o: part(sum(Stock.objects.get(lot=one).book_mg for one in o.lots) - 1_165_000, 0.99))
    filler = "FILL1"


class Sent(Recorded):
    _record = staticmethod(dispatch.consign)
    consignee = "B1"
    packs = factory.LazyFunction(lambda: [Packs(Packed().code, 6, 1)])
    document_no = "D-1"


class Counted(Recorded):
    _record = staticmethod(counting.count)
    lot = factory.SubFactory(RefinedLeaf)
    counted = factory.LazyAttribute(lambda o: Weight(Stock.objects.get(lot=o.lot).book_mg, "S2"))


class Held(Recorded):
    _record = staticmethod(holding.hold)
    lot = factory.SubFactory(RefinedLeaf)

    @classmethod
    def _create(cls, _model: Any, *_args: Any, reason: str, **asked: Any) -> Any:
        """The reason is the hold's own, not the answer to a question."""
        asked["lot"] = asked["lot"].code
        act = Act(asked.pop("badge"), asked.pop("act_id"))
        return opened(cls._record(act, reason=reason or "A smell of smoke", **asked))


class TakenBack(Recorded):
    _record = staticmethod(correcting.reverse)
    reason = "It did not happen"


# Stories -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Milled:
    """One job on one pair: the run's first step, its tubs, the left-over if there was any."""

    run: Step
    tubs: list[Lot]
    left_over: Lot | None


def mill(leaf: Lot | None = None, pair: str = "SP1", job: str = "J1", tub_count: int = 2, left_over: str = "0.000") -> Milled:
    """Charge, grind and take off ``tub_count`` tubs of one leaf, and close the run with its left-over."""
    lot = leaf or RefinedLeaf()
    steps, tubs = [], []
    for _ in range(tub_count):
        steps.append(Load(pair=pair, lot=lot, job=job))
        # One sample for the job: the moisture is measured on the first tub and taken over by the others.
        tubs.append(Tub(pair=pair, moisture=Moisture(of=tubs[0].code) if tubs else Moisture(POWDER_W)))
    last = Closed(pair=pair, left_over=kg(left_over))
    return Milled(steps[0], tubs, last if isinstance(last, Lot) else None)


@dataclass(frozen=True)
class Chain:
    """Every lot of one story, from the field to the buyer."""

    fresh: Lot
    crude: Lot
    refined: Lot
    milled: Milled
    sieved: Lot
    packed: list[Lot]
    kept: Lot
    sent: Step


def chain(plot: str = "P1", pair: str = "SP1", job: str = "J1", sent_count: int = 6, consignee: str = "B1") -> Chain:
    """From one plot to one buyer: leaf in, oven, sorting, stones, sieve, tins and bags, going out."""
    fresh = FreshLeaf(plot=plot)
    crude = CrudeLeaf(lot=fresh)
    refined = RefinedLeaf(lot=crude)
    milled = mill(refined, pair=pair, job=job)
    sieved = Sieved(lots=milled.tubs)
    first = Packed(lots=[sieved])
    sent = Sent(packs=[Packs(first.code, sent_count, 1)], consignee=consignee)
    packed, kept = lots_of(first.step, "packed_tea"), lots_of(first.step, "retained_tea")
    return Chain(fresh, crude, refined, milled, sieved, packed, kept[0], sent)
