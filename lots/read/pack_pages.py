"""What a stranger may read of one pack: its series' facts, its state, and the words of a recall."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any

from django.core.cache import cache
from django.db.models import Exists, OuterRef, Q, Subquery

from lots.codes.packs import PackParts, belongs
from lots.models import Hold, HoldReach, House, PackedUnit, PackMove, PackSecret, PrivateValue
from lots.read.holding import StandingHold, holds_on_lot, standing

HOUSE_KEPT_S = 30


@dataclass(frozen=True, slots=True)
class HouseWords:
    """The maker as strangers see it."""

    name: str
    name_ja: str
    contact: str
    keeping: str
    keeping_ja: str
    invented: bool


@dataclass(frozen=True, slots=True)
class PackPage:
    """One pack that the maker knows: facts as disclosed, best before, and what stops it (nothing when in order)."""

    run_no: int
    pack_no: int
    facts: dict[str, Any]
    growers: tuple[str, ...]
    best_before_on: dt.date
    stops: tuple[StandingHold, ...]

    @property
    def recall(self) -> StandingHold | None:
        """The recall that stands, if any."""
        return next((s for s in self.stops if s.kind == Hold.Kind.RECALL), None)


def find_pack(parts: PackParts | None) -> PackPage | None:
    """Return the pack of a code, or None for an unknown, malformed or void one: all alike, after the same work."""
    run_no, pack_no = (parts.run_no, parts.pack_no) if parts else (0, 0)
    unit = series_with_state(run_no, pack_no)
    secret = bytes(unit.secret) if unit is not None and unit.secret is not None else None  # type: ignore[attr-defined]
    if not belongs(parts, secret) or unit is None or unit.void:  # type: ignore[attr-defined]
        return None
    facts = json.loads(unit.face.facts)
    stops = tuple(holds_on_lot(unit.lot)) if unit.stopped else ()  # type: ignore[attr-defined]
    return PackPage(run_no, pack_no, facts, growers(facts), unit.best_before_on, stops)


def series_with_state(run_no: int, pack_no: int) -> PackedUnit | None:
    """Return the series of a pack with its face, its run's secret, and whether it is void or stopped: one query."""
    here = Q(first_no__lte=pack_no, last_no__gte=pack_no)
    void = PackMove.objects.filter(here, unit=OuterRef("pk"), fate=PackMove.Fate.VOID)
    reached = HoldReach.objects.filter(step=OuterRef("step_id"), hold__ended_by__isnull=True)
    direct = Hold.objects.filter(standing(), lot=OuterRef("lot_id"))
    return (
        PackedUnit.objects.filter(here, run_no=run_no)
        .select_related("face", "lot")
        .annotate(
            secret=Subquery(PackSecret.objects.filter(run_no=OuterRef("run_no")).values("secret")),
            void=Exists(void),
            stopped=Exists(reached) | Exists(direct),
        )
        .first()
    )


def growers(facts: dict[str, Any]) -> tuple[str, ...]:
    """Return the names of growers who agreed to be named and were not erased since."""
    sealed = [origin["grower"] for origin in facts["origins"] if origin["grower"]]
    if not sealed:
        return ()
    values = PrivateValue.objects.filter(pk__in=sealed).values_list("value", flat=True)
    return tuple(sorted({str(json.loads(v)) for v in values}))


def house_words() -> HouseWords:
    """Return the maker's words, asked at most twice a minute by each process."""
    words = cache.get("house_words")
    if words is None:
        words = read_house()
        cache.set("house_words", words, HOUSE_KEPT_S)
    return words


def read_house() -> HouseWords:
    """Return the maker's words from the register."""
    row = House.objects.order_by("-version").first()
    if row is None:
        return HouseWords("Stone mill", "", "", "", "", invented=False)
    return HouseWords(row.name, row.name_ja, row.contact, row.keeping, row.keeping_ja, row.invented)
