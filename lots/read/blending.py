"""Blends: what a mix of lots would be made of, what may be said of it, and a blend beside its plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from lots.genealogy.composition import UNKNOWN, mix
from lots.genealogy.shares import Claim, by_label, claim_at_least
from lots.models import Blending, BlendPart, BlendPlan, Flow, Lot, Step
from lots.read.names import LotName, lot_name
from lots.read.origins import OriginShare, origins_of
from lots.read.sourcing import dry_mg
from lots.read.tracing import summed, trace

LABELS = {"state": "state", "cultivar": "cultivar", "plot": "plot", "flush": "flush_no"}


@dataclass(frozen=True, slots=True)
class Part:
    """A lot in a blend with its mass as read, planned or poured, and the share of the dry mass that this is."""

    lot: Lot
    mass_mg: int
    dry_mg: float


def parts_of(masses: Iterable[tuple[Lot, int]]) -> list[Part]:
    """Return lots with masses as parts; the moisture is that with which each lot was opened."""
    given = list(masses)
    opening = Flow.objects.filter(lot__in=[lot.pk for lot, _mass in given], kind=Flow.Kind.OUT).order_by("-pk")
    wet = dict(opening.values_list("lot_id", "moisture_frac"))
    return [Part(lot, mass_mg, dry_mg(mass_mg, wet.get(lot.pk))) for lot, mass_mg in given]


@dataclass(frozen=True, slots=True)
class Mix:
    """What lots make together: their harvests by share of dry mass."""

    parts: tuple[Part, ...]
    composition: dict[int, float]
    origins: dict[int, OriginShare]

    def labels(self, kind: str) -> dict[int, str]:
        """Return the label of each harvest, by state, cultivar, plot or flush."""
        return {step: str(getattr(origin, LABELS[kind])) for step, origin in self.origins.items()}

    def shares(self, kind: str) -> dict[str, float]:
        """Return the shares by label, the largest first."""
        return by_label(self.composition, self.labels(kind))

    def claim(self, kind: str, label: str, least_frac: float, bound_frac: float | None = 0.0) -> Claim:
        """Judge that at least so much of the dry mass has a label."""
        return claim_at_least(self.composition, self.labels(kind), label, least_frac, bound_frac)


def mixed(parts: Sequence[Part]) -> Mix:
    """Return what lots make together."""
    told = origins_of({part.lot.step_id for part in parts})
    each = [(p.dry_mg, {o.harvest or UNKNOWN: o.share_frac for o in told.get(p.lot.step_id, ())} or {UNKNOWN: 1.0}) for p in parts]
    origins = {o.harvest: o for some in told.values() for o in some if o.harvest is not None}
    return Mix(tuple(parts), mix(each), origins)


def worst_case_frac(parts: Sequence[Part]) -> float | None:
    """Return the most that contact on machines may have brought into these lots, as a share of what is poured; None where
    one contact has no bound."""
    total = sum(part.mass_mg for part in parts)
    bounds: list[int | None] = []
    for part in parts:
        bound_mg = summed([touched.bound_mg for touched in trace(part.lot).touched if not touched.forward])
        bounds.append(None if bound_mg is None else min(bound_mg, part.mass_mg))
    most_mg = summed(bounds)
    return None if most_mg is None or total <= 0 else most_mg / total


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One lot of a plan beside what was poured of it, in mg as read."""

    lot: LotName
    planned_mg: int
    poured_mg: int

    @property
    def off_mg(self) -> int:
        """What was poured beyond the plan (negative: less)."""
        return self.poured_mg - self.planned_mg


@dataclass(frozen=True, slots=True)
class PlanTold:
    """A plan: its step, name, claim and parts in order of pouring."""

    step: int
    name: str
    kind: str
    label: str
    least_frac: float
    parts: tuple[tuple[Lot, int], ...]

    def beside(self, poured: Iterable[tuple[Lot, int]]) -> list[PlanLine]:
        """Return the plan line by line beside what was poured; lots that were not planned stand last."""
        found: dict[int, int] = defaultdict(int)
        lots = {lot.pk: lot for lot, _mass in self.parts}
        for lot, mass_mg in poured:
            found[lot.pk] += mass_mg
            lots.setdefault(lot.pk, lot)
        planned = {lot.pk: mass_mg for lot, mass_mg in self.parts}
        return [PlanLine(lot_name(lot), planned.get(pk, 0), found.get(pk, 0)) for pk, lot in lots.items()]


def plan_told(step: int) -> PlanTold | None:
    """Return one plan, nothing where the step is none or did not happen."""
    return next(iter(plans(step)), None)


def plans(step: int | None = None) -> list[PlanTold]:
    """Return the plans that stand, the newest first, or one of them."""
    gone = Step.objects.filter(corrects=OuterRef("step_id"), part="reverse")
    rows = BlendPlan.objects.filter(~Exists(gone), **({} if step is None else {"pk": step})).order_by("-pk")
    parts: dict[int, list[tuple[Lot, int]]] = defaultdict(list)
    for part in BlendPart.objects.filter(step__in=[row.pk for row in rows]).select_related("lot").order_by("pk"):
        parts[part.step_id].append((part.lot, part.planned_mg))
    return [PlanTold(r.pk, r.name, r.kind, r.label, float(r.least_frac), tuple(parts[r.pk])) for r in rows]


def open_plans() -> list[PlanTold]:
    """Return the plans after which nobody has blended yet."""
    gone = Step.objects.filter(corrects=OuterRef("step_id"), part="reverse")
    done = set(Blending.objects.filter(~Exists(gone), plan__isnull=False).values_list("plan_id", flat=True))
    return [plan for plan in plans() if plan.step not in done]
