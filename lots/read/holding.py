"""Which holds stand on a lot or a series of packs, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from lots.models import Hold, HoldReach, Lot
from lots.read.rows import values
from lots.read.sourcing import fed, runs_of, steps_of_runs, users, with_leaf
from lots.read.walking import down


@dataclass(frozen=True, slots=True)
class StandingHold:
    """A hold or recall that nobody ended: the held lot's name, since when, why, and what a holder of a pack should do."""

    id: int
    kind: str
    lot: str
    since_at: datetime
    reason: str
    what_to_do: str
    what_to_do_ja: str


def standing() -> Q:
    """Return the condition that a hold stands."""
    return Q(ended_by__isnull=True) & ~Q(kind=Hold.Kind.RELEASE)


def holds_on_lot(lot: Lot) -> list[StandingHold]:
    """Return the holds on a lot itself, or on anything that its leaf came from."""
    reached = HoldReach.objects.filter(step=lot.step_id).values("hold")
    rows = Hold.objects.filter(standing()).filter(Q(lot=lot.pk) | Q(pk__in=reached)).select_related("lot").order_by("id")
    return [
        StandingHold(h.pk, h.kind, str(h.lot), h.happened_at, h.reason, h.what_to_do, h.what_to_do_ja) for h in rows
    ]


def any_hold_stands() -> bool:
    """Return whether any hold stands at all."""
    return bool(values("SELECT 1 FROM hold h WHERE kind <> 'release' AND NOT EXISTS (SELECT 1 FROM hold e WHERE e.ends_id = h.id) LIMIT 1"))


def holds_on_leaf_of(step: int) -> list[int]:
    """Return the holds that reach a step through the lots that went into it (or into its run before it)."""
    run = runs_of([step])[step]
    pairs = fed(s for s in steps_of_runs([run]) if s <= step)
    rows = Hold.objects.filter(standing()).filter(
        Q(lot__in=[lot for lot, _ in pairs]) | Q(reach__step__in=[opened for _, opened in pairs])
    )
    return sorted(set(rows.values_list("pk", flat=True)))


def held_steps(hold: Hold) -> list[int]:
    """Return the steps whose lots hold leaf of the held lot (its own step opened other lots too, so it is not among them)."""
    runs = runs_of(users(hold.lot_id))
    first = {run: min(s for s, r in runs.items() if r == run) for run in runs.values()}
    return down(with_leaf(s for s, run in steps_of_runs(first).items() if s >= first[run]))
