"""Tubs that wait for their grit check after a dressing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from lots.models import GritCheck, Hold, Lot, Step, StonePair
from lots.read.balances import not_taken_back
from lots.read.holding import standing
from lots.read.names import LotName, lot_name
from lots.read.rows import values

#: Whose holds end with a grit check: the first tub after a dressing, and grit that was found.
BY_GRIT = ("milling.tub", "grit.check")
KNOWN_STONE = "SELECT 1 FROM stone WHERE code IN (%s, %s) LIMIT 1"


@dataclass(frozen=True, slots=True)
class GritWaiting:
    """A tub that is stopped for grit: since when, why, whether grit was found in it."""

    lot: LotName
    since_at: dt.datetime
    reason: str
    found: bool


def is_fresh(pair: StonePair, dressed_h: Decimal) -> bool:
    """Tell whether a tub is the first since the stones of a pair were taken apart, and its stones stand in the register:
    only the registered ones are stopped by rule. Costs a statement only in a version in which nothing was ground."""
    if pair.version == 1 or dressed_h != pair.dressed_h:
        return False
    return stands_in_register(pair)


def stands_in_register(pair: StonePair) -> bool:
    """Tell whether a stone of a pair stands in the register of stones."""
    return bool(values(KNOWN_STONE, [pair.upper, pair.lower]))


def grit_holds(lot: Lot) -> list[Hold]:
    """Return the holds of a lot that a grit check ends."""
    return list(Hold.objects.filter(standing(), lot=lot, entry__kind__in=BY_GRIT).select_related("lot").order_by("pk"))


def is_by_grit(hold: Hold) -> bool:
    """Tell whether a hold came from a dressing or from grit that was found."""
    return hold.entry.kind in BY_GRIT


def found_before(lot: Lot) -> bool:
    """Tell whether grit was found in a lot."""
    return standing_checks().filter(lot=lot, clean=False).exists()


def standing_checks() -> QuerySet[GritCheck, GritCheck]:
    """Return the grit checks that were not taken back."""
    return GritCheck.objects.filter(step__in=Step.objects.filter(not_taken_back(), stage="grit").values("pk"))


def grit_waiting() -> list[GritWaiting]:
    """Return the tubs that are stopped for grit, the oldest first."""
    holds = list(Hold.objects.filter(standing(), entry__kind__in=BY_GRIT).select_related("lot").order_by("pk"))
    if not holds:
        return []
    found = set(GritCheck.objects.filter(clean=False, lot__in=[h.lot_id for h in holds]).values_list("lot", flat=True))
    return [GritWaiting(lot_name(h.lot), h.happened_at, h.reason, h.lot_id in found) for h in holds]
