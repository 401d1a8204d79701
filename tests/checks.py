"""Checks of the house as factories: test pieces, check weights, readings of a room, grit after a dressing."""

from __future__ import annotations

from decimal import Decimal

import factory

from lots.models import Lot, ScaleCheck, Step
from lots.record import climate, detecting, grit, registers, scale_check
from lots.record.acts import Act
from lots.record.climate import Reading
from tests import factories as make


def enter_detector(piece: str = "FE15", line: str = "") -> str:
    """Enter a metal detector with one test piece and return the piece's code."""
    make.enter("equipment", f"MD-{piece}", kind="detector", name="Metal detector")
    fields = {"line": line} if line else {}
    make.enter("test_piece", piece, metal="iron", size_mm=Decimal("1.50"), equipment=f"MD-{piece}", **fields)
    return piece


def enter_weight(code: str = "W5", **other: object) -> str:
    """Enter a check weight of 5 kg and return its code."""
    make.enter("check_weight", code, **{"nominal_mg": 5_000_000, "weight_class": "M1", "certificate_no": "26-0117", **other})
    return code


def enter_room(code: str = "MILL", **other: object) -> str:
    """Enter the room of the stones and return its code."""
    frac = Decimal("0.01")
    make.enter("climate_band", code, **{
        "name": "Mill room", "least_c": Decimal(15), "most_c": Decimal(24), "least_rh_frac": 40 * frac, "most_rh_frac": 65 * frac,
        "has_stones": True, **other,
    })
    return code


def dressed(pair: str = "SP1", *, registered: bool = True) -> None:
    """A pair whose stones stand in the register is dressed."""
    number = pair[-1]
    if registered:
        make.enter("stone", f"U{number}", part="upper", diameter_mm=330)
    fields = {"equipment": pair, "upper": f"U{number}", "lower": f"L{number}", "dressed_h": Decimal(0)}
    registers.enter(Act("F"), table="stone_pair", code=pair, fields=fields, valid_from_at=make.next_moment())


def first_tub() -> Lot:
    """The first tub after a dressing."""
    dressed()
    return make.mill(tub_count=1).tubs[0]


class PieceSent(make.Recorded):
    """The test piece goes through and is seen."""

    _record = staticmethod(detecting.send_through)
    piece = factory.LazyFunction(enter_detector)
    seen = True


class Found(make.Recorded):
    """A splinter on the magnet."""

    _record = staticmethod(detecting.find)
    equipment = "SIEVE1"
    lot = factory.SubFactory(make.Sieved)
    what = "splinter of steel"
    found_where = "on the magnet under the sieve"
    size_mm = Decimal("0.8")


class ScaleChecked(make.Recorded):
    """Five kilograms are shown as such."""

    _record = staticmethod(scale_check.check)
    scale = "S3"
    weight = factory.LazyFunction(enter_weight)
    shown_mg = 5_000_000


def failed_check() -> int:
    """A check of scale S3 that failed: 1 % too much. Return its step."""
    step = ScaleChecked(shown_mg=5_050_000)
    assert isinstance(step, Step)
    return ScaleCheck.objects.get(step=step, within=False).pk


class Cleared(make.Recorded):
    _record = staticmethod(scale_check.clear)
    check = factory.LazyFunction(failed_check)
    ground = "The tubs were weighed again on S2"


class ClimateRead(make.Recorded):
    """Within the band."""

    _record = staticmethod(climate.read)
    room = factory.LazyFunction(enter_room)
    readings = [Reading(Decimal("21.4"), Decimal("0.58"))]


class GritLooked(make.Recorded):
    """The first tub after a dressing is clean."""

    _record = staticmethod(grit.check)
    badge = "C"
    lot = factory.LazyFunction(first_tub)
    clean = True
    looked = "Rubbed between glass plates, ten pinches"


def check_the_house(lot: Lot) -> None:
    """One of each check: a piece seen, a find in a lot, a scale that failed and was cleared, a room, grit after a dressing."""
    enter_detector("SS25")
    enter_weight("W2", nominal_mg=2_000_000)
    enter_room("STORE", name="Cold store", has_stones=False)
    PieceSent(piece=enter_detector(line="SIEVE1"))
    Found(lot=lot)
    Cleared()
    ClimateRead()
    GritLooked()
