"""Cultivars side by side: marks of tastings, fresh leaf by area, grams an hour on the stones. Only lots of one cultivar count."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Sum

from lots.models import Composition, Flow, HarvestFlush, MillingTub, Origin, Planting, SensoryNote
from lots.read.registers import in_force
from lots.read.results import standing_steps

MARKS = ("aroma", "taste", "colour", "body", "foam")


@dataclass
class CultivarFacts:
    """One cultivar: its marks by name, fresh leaf in mg on so many ares, powder in mg in so many hours."""

    name: str
    marks: dict[str, list[int]] = field(default_factory=lambda: {name: [] for name in MARKS})
    fresh_mg: int = 0
    area_a: float = 0.0
    powder_mg: int = 0
    ground_h: float = 0.0

    @property
    def tasting_count(self) -> int:
        """How many tastings stand behind the marks."""
        return len(self.marks[MARKS[0]])

    @property
    def rate_g_per_h(self) -> float | None:
        """Grams an hour on the stones."""
        return self.powder_mg / 1000 / self.ground_h if self.ground_h else None

    @property
    def kg_per_10_a(self) -> float | None:
        """Fresh leaf by area, over all years of the book."""
        return self.fresh_mg / 1e6 / self.area_a * 10 if self.area_a else None

    def mean(self, name: str) -> float | None:
        """Return the mean of a mark, None where nobody tasted."""
        found = self.marks[name]
        return sum(found) / len(found) if found else None


@dataclass(frozen=True, slots=True)
class Comparison:
    """The cultivars by name, and how many tastings were of blends or of leaf that nobody knows."""

    cultivars: tuple[CultivarFacts, ...]
    blend_count: int


def cultivars_of(steps: Iterable[int]) -> dict[int, str]:
    """Return the cultivar of the leaf of steps, only of those that hold one cultivar and nothing unknown."""
    holders = dict(Origin.objects.filter(step__in=list(steps)).values_list("step_id", "held_by_id"))
    found: dict[int, set[str]] = defaultdict(set)
    rows = Composition.objects.filter(held_by__in=set(holders.values()), share_frac__gt=0)
    for holder, name in rows.values_list("held_by_id", "harvest__harvestflush__cultivar__name"):
        found[holder].add(name or "")
    return {step: next(iter(found[h])) for step, h in holders.items() if len(found[h]) == 1 and "" not in found[h]}


def comparison() -> Comparison:
    """Return every cultivar of which leaf came in."""
    facts: dict[str, CultivarFacts] = {}
    for name, mass_mg in fresh_by_cultivar().items():
        facts[name] = CultivarFacts(name, fresh_mg=mass_mg)
    for planting in in_force(Planting).select_related("cultivar"):
        if planting.cultivar.name in facts:
            facts[planting.cultivar.name].area_a += float(planting.area_a)
    add_tubs(facts)
    return Comparison(tuple(facts[name] for name in sorted(facts)), add_tastings(facts))


def fresh_by_cultivar() -> dict[str, int]:
    """Return the fresh leaf of each cultivar in mg, corrections counted."""
    rows = HarvestFlush.objects.values_list("pk", "cultivar__name")
    names = dict(rows)
    own = Flow.objects.filter(kind=Flow.Kind.OUT, step__stage="harvest").values_list("step_id").annotate(total=Sum("mass_mg"))
    more = Flow.objects.filter(kind=Flow.Kind.OUT, step__corrects__stage="harvest").values_list("step__corrects_id")
    total: dict[str, int] = defaultdict(int)
    for step, mass_mg in [*own.order_by(), *more.annotate(total=Sum("mass_mg")).order_by()]:
        total[names[step]] += mass_mg
    return dict(total)


def add_tubs(facts: Mapping[str, CultivarFacts]) -> None:
    """Add powder and hours of every tub that stands."""
    tubs = dict(MillingTub.objects.filter(standing_steps("milling")).values_list("step_id", "ground_h"))
    names = cultivars_of(tubs)
    rows = Flow.objects.filter(step__in=list(tubs), kind=Flow.Kind.OUT, role="tub_powder").values_list("step_id", "mass_mg")
    for step, mass_mg in rows:
        if names.get(step) in facts:
            facts[names[step]].powder_mg += mass_mg
            facts[names[step]].ground_h += float(tubs[step])


def add_tastings(facts: Mapping[str, CultivarFacts]) -> int:
    """Add the marks of every tasting that stands; return how many were of no single cultivar."""
    notes = list(SensoryNote.objects.filter(standing_steps("tasting")).select_related("lot"))
    names = cultivars_of({note.lot.step_id for note in notes})
    for note in notes:
        if names.get(note.lot.step_id) in facts:
            for name in MARKS:
                facts[names[note.lot.step_id]].marks[name].append(getattr(note, f"{name}_mark"))
    return sum(1 for note in notes if names.get(note.lot.step_id) not in facts)


def tastings_of(lot: int) -> list[SensoryNote]:
    """Return the standing tastings of a lot, in order of record."""
    rows = SensoryNote.objects.filter(standing_steps("tasting"), lot=lot).select_related("taster", "step")
    return list(rows.order_by("pk"))
