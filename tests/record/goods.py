"""Factories of goods from outside and of milling for hire; each brings the parties and registers that it needs."""

from __future__ import annotations

import datetime as dt

import factory

from lots.models import Lot, PackagingItem, Party
from lots.record import entrusting, hiring, opening, receiving
from lots.record.lines import Moisture
from lots.record.receiving import Paper
from tests import factories as make

KNOWN = {
    "SU1": ("Tsugumi leaf house", "supplier"), "O1": ("Owner of the lower gate", "owner"), "O2": ("Second owner", "owner"),
    "M2": ("Mill at the bridge", "refiner"),
}


def party(code: str) -> str:
    """Enter a party once."""
    if not Party.objects.filter(code=code).exists():
        name, roles = KNOWN[code]
        make.enter("party", code, name=name, contact=f"telephone {code}", roles=roles)
    return code


def tins() -> str:
    """Enter tins once."""
    if not PackagingItem.objects.exists():
        make.enter("packaging_item", "TIN30", name="Tin of 30 g", kind="tin")
    return "TIN30"


class TakenIn(make.Recorded):
    """Refined leaf that was bought."""

    _record = staticmethod(receiving.accept)
    supplier = factory.LazyFunction(lambda: party("SU1"))
    material = "refined_leaf"
    weighed = make.kg("3.000", "S3")
    paper = Paper("L-1")
    moisture = Moisture(make.REFINED_W)


class SentAway(make.Recorded):
    """Leaf that was not taken in."""

    _record = staticmethod(receiving.refuse)
    supplier = factory.LazyFunction(lambda: party("SU1"))
    material = "crude_leaf"
    paper_no = "L-2"
    why = "Wet sacks"


class PackagingIn(make.Recorded):
    """Five hundred tins."""

    _record = staticmethod(receiving.packaging)
    item = factory.LazyFunction(tins)
    supplier = factory.LazyFunction(lambda: party("SU1"))
    counted_count = 500
    paper = Paper("T-1")


class Stocked(make.Recorded):
    """Powder from before the book."""

    _record = staticmethod(opening.stock)
    material = "sieved_powder"
    weighed = make.kg("3.250")
    moisture = Moisture(make.POWDER_W)
    paper_no = "Book 3, page 12"
    origin = "Two plots of the year before"
    sold_count = 40
    sold_to = "Tea House East"


class Entrusted(make.Recorded):
    """Leaf of ours at another mill."""

    _record = staticmethod(entrusting.send)
    lot = factory.SubFactory(make.RefinedLeaf)
    party = factory.LazyFunction(lambda: party("M2"))
    paper_no = "H-1"


class Back(make.Recorded):
    """What the other mill ground of it."""

    _record = staticmethod(hiring.back)
    lots = factory.LazyFunction(lambda: [Entrusted()])
    powder = factory.LazyAttribute(lambda o: make.part(make.dry_mg(o.lots[0]) / (1 - 0.044), 0.99))
    left_over = make.kg("0.000")
    moisture = Moisture(make.POWDER_W)
    paper_no = "H-2"


def theirs(owner: str = "O1") -> Lot:
    """Leaf of somebody else that came to be milled."""
    lot = TakenIn(supplier=party(owner), owner=owner)
    assert isinstance(lot, Lot)
    return lot


class HandedOver(make.Recorded):
    """Goods of others that went home."""

    _record = staticmethod(entrusting.hand_over)
    lots = factory.LazyFunction(lambda: [theirs()])
    party = "O1"
    paper_no = "H-3"


def take_goods_in() -> None:
    """Goods of every kind: under a certificate, sent away, packaging, from before the book, and for hire both ways."""
    day = make.today()
    tins()
    make.enter("packaging_item", "BAG100", name="Bag of 100 g", kind="bag")
    make.enter(
        "certificate", "C1", party=party("SU1"), kind="organic", number="OR-7", issuer="House of seals", materials="refined_leaf",
        holds_from_on=day - dt.timedelta(days=90), holds_until_on=day + dt.timedelta(days=90), file_sha256="a" * 64,
    )
    TakenIn(state="organic", carrier="V1", origin="The valley beyond the pass", paper=Paper("L-1", "delivery note", 3_000_000, seal="whole"))
    SentAway(stated_mg=30_000_000)
    PackagingIn(stated_count=500)
    Stocked()
    Back()
    HandedOver()
