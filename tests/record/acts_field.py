"""Acts of the field for the random history: leaf in, bag by bag or as a sum; treatments, trims, notices."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.utils import timezone

from lots.models import Hold
from lots.record import harvest, treatment, trimming
from lots.record.harvest import Deducted
from lots.record.lines import Weight

if TYPE_CHECKING:
    from tests.record.random_acts import RandomHistory

PLOTS = ("P1", "P2", "P3")
STEP_MG = 50_000


def take_in(history: RandomHistory) -> None:
    """A delivery; some bag by bag, some with water deducted. Leaf that is plucked too early is held in the same act."""
    dice, plot, moisture = history.dice, history.dice.choice(PLOTS), history.wet("0.800", 0.05)
    bags = tuple(dice.randint(340, 400) * STEP_MG for _ in range(dice.randint(2, 5)))
    water_mg = dice.randint(1, 20) * STEP_MG if history.chance(0.2) else 0
    more: dict[str, Any] = {"bags_mg": bags} if history.chance(0.5) else {}
    more |= {"water": Deducted(water_mg, "dew")} if water_mg else {}
    plucked_on = timezone.localtime(history.clock).date()
    receipt = history.do(
        harvest.intake, plot=plot, cultivar="Saemidori", flush_no=dice.randint(1, 2), bag_count=len(bags),
        fresh=Weight(sum(bags), "S1", len(bags)), moisture=moisture, plucked_on=plucked_on,
        maker_ref=dice.choice(("", f"H-{len(history.sent)}")), **more,
    )
    if receipt is None:
        return
    step = history.mill.step(receipt.step, "harvest", "intake")
    lot = history.opens(step, receipt, [("fresh_leaf", sum(bags), history.measured(moisture))])[0]
    if water_mg:
        lot.stock_mg -= water_mg
        step.differences[lot] = -water_mg
    if any(on <= plucked_on < on + dt.timedelta(days=days) for on, days in history.sprayed[plot]):
        history.mill.holds[Hold.objects.get(entry=receipt.seq).pk] = lot


def treat(history: RandomHistory) -> None:
    """A treatment; most ask for no day, some for one. Now and then one use more than the label allows."""
    dice, plot, day = history.dice, history.dice.choice(PLOTS), timezone.localtime(history.clock).date()
    days = dice.choice((0, 0, 0, 1))
    more: dict[str, Any] = {"uses_most_count": 1, "water_l_per_10_a": Decimal(400)} if history.chance(0.2) else {}
    if history.do(treatment.apply, plot=plot, applied_on=day, product="Mite stop", interval_days=days, **more):
        history.sprayed[plot].append((day, days))


def trim_or_notice(history: RandomHistory) -> None:
    """A trim, or a neighbour's word."""
    day, plot = timezone.localtime(history.clock).date(), history.dice.choice(PLOTS)
    if history.chance(0.5):
        history.do(trimming.trim, plot=plot, trimmed_on=day, as_plucking=history.chance(0.5))
    else:
        history.do(treatment.notice, plot=plot, sprays_on=day + dt.timedelta(days=3), product="Rice dust")
