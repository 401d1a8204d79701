"""What is done in the house, as factories: shelves, bins, blends, what is taken out of stock."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import factory

from lots.models import Lot, Place, Stock
from lots.record import blend_plan, blending, combining, counting, removing, shelving
from lots.record.blend_plan import Planned
from lots.record.blending import Mixed, Poured
from lots.record.counting import Counted
from lots.record.lines import Weight
from lots.record.removing import Taken
from tests import factories as make


def shelf(code: str = "A1", **other: Any) -> str:
    """Enter a shelf once and return its code."""
    if not Place.objects.filter(code=code).exists():
        make.enter("place", code, **{"room": "Cold room 1", "shelf": code, "cold": True, **other})
    return code


def mixer() -> str:
    """Enter the mixer and return its code."""
    make.enter("equipment", "MIX1", kind="mixer", name="Drum mixer")
    return "MIX1"


def book_mg(lot: Lot) -> int:
    return Stock.objects.get(lot=lot).book_mg


def whole(lot: Lot, scale: str = "S2") -> Weight:
    """All that the book has of a lot, weighed again."""
    return Weight(book_mg(lot), scale)


class Put(make.Recorded):
    _record = staticmethod(shelving.put)
    lot = factory.SubFactory(make.RefinedLeaf)
    place = factory.LazyFunction(shelf)


class Took(make.Recorded):
    """A lot that stood on the shelf."""

    _record = staticmethod(shelving.take)
    lot = factory.LazyFunction(lambda: put_on(make.RefinedLeaf()))
    place = factory.LazyFunction(shelf)


def put_on(lot: Lot | None = None, place: str = "A1") -> Lot:
    """Put a lot on a shelf and return it."""
    found = lot or make.RefinedLeaf()
    Put(lot=found, place=shelf(place))
    return found


class ShelfCounted(make.Recorded):
    """A shelf with one lot, all of it there."""

    _record = staticmethod(counting.count_place)
    place = factory.LazyFunction(shelf)
    counted = factory.LazyFunction(lambda: [Counted(lot.code, whole(lot)) for lot in [put_on()]])


class Combined(make.Recorded):
    """Two lots of refined leaf in one bin."""

    _record = staticmethod(combining.combine)
    lots = factory.LazyFunction(lambda: [make.RefinedLeaf(), make.RefinedLeaf()])
    together = factory.LazyAttribute(lambda o: Weight(sum(book_mg(lot) for lot in o.lots), "S2"))
    bin_name = "Bin 4"


class BlendPlanned(make.Recorded):
    """A blend of two plots, three to one."""

    _record = staticmethod(blend_plan.plan)
    name = "Morning"
    parts = factory.LazyFunction(lambda: [Planned(lot.code, mass) for lot, mass in zip(two_plots(), (3_000_000, 1_000_000), strict=True)])


def two_plots() -> list[Lot]:
    """Refined leaf of a certified plot and of one that is not."""
    return [make.RefinedLeaf(lot=make.CrudeLeaf(lot=make.FreshLeaf(plot=plot))) for plot in ("P1", "P2")]


class BlendedLeaf(make.Recorded):
    """Three kilograms of one leaf and one of another; four came out."""

    _record = staticmethod(blending.blend_leaf)
    poured = factory.LazyFunction(lambda: [Poured(lot.code, make.kg(mass)) for lot, mass in zip(two_plots(), ("3.000", "1.000"), strict=True)])
    mixed = Mixed(make.kg("3.990"), make.kg("0.008"), mixed_s=900)


class BlendedPowder(make.Recorded):
    """A pass of the sieve poured onto another."""

    _record = staticmethod(blending.blend_powder)
    poured = factory.LazyFunction(lambda: [Poured(make.Sieved(lots=make.mill(job=job).tubs).code) for job in ("J1", "J2")])
    mixed = factory.LazyAttribute(lambda o: Mixed(Weight(sum(book_mg(Lot.objects.get(code=p.lot)) for p in o.poured), "S3")))


class Spilt(make.Recorded):
    _record = staticmethod(removing.spill)
    taken = factory.LazyFunction(lambda: Taken(make.RefinedLeaf().code, make.kg("0.100")))


class Used(make.Recorded):
    _record = staticmethod(removing.own_use)
    taken = factory.LazyFunction(lambda: Taken(make.Packed().code, pack_count=2))
    why = "Tasted with guests"


class Given(make.Recorded):
    _record = staticmethod(removing.gift)
    taken = factory.LazyFunction(lambda: Taken(make.Packed().code, pack_count=3, first_no=4))
    recipient = "Nanako Ito"
    contact = "telephone 17"


class Destroyed(make.Recorded):
    _record = staticmethod(removing.destroy)
    taken = factory.LazyFunction(lambda: Taken(make.Packed().code, pack_count=5, first_no=1))
    how = "burnt"
    witness = "C"


class Lowered(make.Recorded):
    """Organic leaf that is conventional from now on."""

    _record = staticmethod(removing.downgrade)
    taken = factory.LazyFunction(lambda: Taken(make.RefinedLeaf().code))
    state = "conventional"
    why = "A bag without a label stood among them"


CLAIM: dict[str, Any] = {"kind": "state", "label": "organic", "least_frac": Decimal(1)}


def keep_house() -> Lot:
    """Something of everything: a shelf that was counted and missed a lot, a plan and its blend, a bin, and what was taken out of it."""
    one, two = two_plots()
    shelf("B7")
    for lot in (one, two):
        put_on(lot)
    ShelfCounted(place="A1", counted=[Counted(one.code, whole(one))])
    plan = BlendPlanned(
        parts=[Planned(one.code, 3_000_000), Planned(two.code, 1_000_000)], kind="cultivar", label="Saemidori", least_frac=Decimal("0.7"),
    )
    mixed = Mixed(make.kg("3.990"), make.kg("0.008"), mixed_s=900, mixer=mixer())
    BlendedLeaf(plan=plan.pk, poured=[Poured(one.code, make.kg("3.000")), Poured(two.code, make.kg("1.000"))], mixed=mixed)
    made: Lot = Combined(lots=[one, two], why="The end of both")
    Spilt(taken=Taken(made.code, make.kg("0.050")), why="A torn bag")
    Used(taken=Taken(made.code, make.kg("0.050")))
    Given(taken=Taken(made.code, make.kg("0.100")))
    Destroyed(taken=Taken(made.code, make.kg("0.100")), evidence="Picture 4", why="Damp")
    Lowered(taken=Taken(made.code, make.kg("1.000")), state="", grade="Second")
    Put(lot=made)
    return made
