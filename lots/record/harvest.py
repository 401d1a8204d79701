"""Leaf in: a delivery of fresh leaf from one plot and cultivar, in bags that were weighed together or one by one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Cultivar, FieldPlot, Flow, HarvestBag, HarvestFlush, Lot, Party
from lots.record.acts import act
from lots.record.bags import ask_about_bags
from lots.record.early import hold_too_early
from lots.record.errors import Refused
from lots.record.lines import Lines, Moisture, Weight, must_weigh, taken_over
from lots.record.words import kg, material_word
from lots.record.writing import Writing

DEDUCTED_WATER = "deducted_water"


@dataclass(frozen=True, slots=True)
class Round:
    """How a delivery was plucked and came: ``team`` is sealed, ``carrier`` is the code of a party."""

    team: str = ""
    carrier: str = ""
    method: str = ""
    leaf_wet: bool = False
    plucked_from_at: dt.datetime | None = None
    plucked_until_at: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class Deducted:
    """Water that was deducted from a delivery, in mg, with the reason: dew, rain. The scale's figure stays."""

    mass_mg: int
    reason: str


@act("harvest.intake")
def intake(
    w: Writing,
    *,
    plot: str,
    cultivar: str,
    flush_no: int,
    plucked_on: dt.date,
    bag_count: int,
    fresh: Weight,
    moisture: Moisture | None = None,
    basis: str = "wet",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
    bags_mg: Sequence[int] = (),
    plucked: Round | None = None,
    water: Deducted | None = None,
) -> None:
    """Take in fresh leaf: opens one lot. The plucking day is checked against treatments, the mass against the bags; leaf that
    was plucked too early is taken with a reason and held by rule. ``bags_mg`` are the readings of the bags one by one."""
    field = w.in_force(FieldPlot, plot, "plots", "plot")
    must_be_a_slip(flush_no, bag_count, fresh, bags_mg)
    ask_about_bags(w, field, fresh.mass_mg, bags_mg or (fresh.mass_mg / bag_count,) * bag_count, flush_no, plucked_on)
    step = w.step("harvest", "intake", happened_at)
    if plucked_on > timezone.localtime(step.happened_at).date():
        msg = _("The leaf cannot be in before it is plucked (%(day)s). Look at the date.")
        raise Refused(msg % {"day": plucked_on}, "plucked_on")
    how = plucked or Round()
    must_come_after(how, step.happened_at)
    lot = Lines(w, step).open("fresh_leaf", fresh, moisture, maker_ref)
    first = w.rows_of(Flow)[-1]
    w.add(HarvestFlush(
        step=step, plot=field, cultivar=w.in_force(Cultivar, cultivar, "cultivars", "cultivar"), flush_no=flush_no,
        plucked_on=plucked_on, bag_count=bag_count, basis=basis, plucked_from_at=how.plucked_from_at,
        plucked_until_at=how.plucked_until_at, method=how.method,
        leaf_wet=how.leaf_wet, team=w.seal(how.team.strip()), water_reason=deduct(w, first, lot, water) if water else "",
        carrier=w.in_force(Party, how.carrier, "parties", "carrier") if how.carrier else None,
    ))
    for number, mass_mg in enumerate(bags_mg, 1):
        w.add(HarvestBag(step=step, bag_no=number, mass_mg=mass_mg))
    hold_too_early(w, field, lot, plucked_on)


def must_come_after(how: Round, happened_at: dt.datetime) -> None:
    """Refuse hours of plucking that end before they begin, or after the leaf came in."""
    hours = [at for at in (how.plucked_from_at, how.plucked_until_at, happened_at) if at is not None]
    if hours != sorted(hours):
        raise Refused(_("The leaf was plucked from, until, and came in after: these hours run the other way."), "plucked_until")


def must_be_a_slip(flush_no: int, bag_count: int, fresh: Weight, bags_mg: Sequence[int]) -> None:
    """Refuse a slip that no delivery can have, or whose bags are not what was weighed in all."""
    if flush_no < 1:
        raise Refused(_("The flush counts from 1: type 1 for the first flush."), "flush_no")
    if bag_count < 1:
        raise Refused(_("How many bags came? At least one."), "bag_count")
    must_weigh(fresh.mass_mg, material_word("fresh_leaf"))
    for number, mass_mg in enumerate(bags_mg, 1):
        if mass_mg <= 0:
            raise Refused(_("Bag %(number)d weighs nothing. Weigh it again, or leave it out.") % {"number": number}, "bags_mg")
    if bags_mg and (len(bags_mg) != bag_count or sum(bags_mg) != fresh.mass_mg):
        msg = _("The %(count)d bags come to %(sum)s kg, and the delivery says %(bags)d bags of %(mass)s kg in all.")
        words = {"count": len(bags_mg), "sum": kg(sum(bags_mg)), "bags": bag_count, "mass": kg(fresh.mass_mg)}
        raise Refused(msg % words, "bags_mg")


def deduct(w: Writing, first: Flow, lot: Lot, water: Deducted) -> str:
    """Book deducted water as a signed line of its own and return its reason; the line that opened the lot stays as the scale
    showed it. The line takes the lot's moisture over, so that wet and dry sums of the lot go on by the same mass."""
    if not water.reason.strip():
        raise Refused(_("Say why water is deducted: dew, rain, washed leaf."), "water_reason")
    if not 0 < water.mass_mg < lot.mass_mg:
        msg = _("%(water)s kg of water cannot be deducted from %(mass)s kg of leaf.")
        raise Refused(msg % {"water": kg(water.mass_mg), "mass": kg(lot.mass_mg)}, "water_mg")
    w.flow(
        step=first.step, kind=Flow.Kind.DIFFERENCE, role=DEDUCTED_WATER, lot=lot, mass_mg=-water.mass_mg, reading_count=0,
        **taken_over(first),
    )
    return water.reason.strip()
