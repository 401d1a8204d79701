"""The way of leaf as stops and ways between them: a harvest, an oven batch, a job on the stones, a pass, a packing run.

A stop is one box of the lineage drawing; all tubs of one job are one stop. A way is the mass that went from one stop
to another, with its share of everything that went into the second.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils import timezone

from lots.models import Flow, Lot, MillingRun, SievePass, Step
from lots.read.names import LotName, lot_name
from lots.read.sourcing import dry_mg
from lots.trade.lineage import Tier
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES

#: What a stage makes on the way to the pack; the rest goes aside.
MAIN = frozenset(key for key, material in MATERIALS.items() if not material.by_product and key != "left_over")
#: The stages that are boxes; what leaves for a consignee is told apart by consignee, not by step.
DRAWN = tuple(key for key, stage in STAGES.items() if stage.column is not None and key != "dispatch")
#: Stages that make of a material the same material: they stand in the column of the stage that makes it first.
WITHIN = ("combining", "blending", "removing", "entrusting")
COLUMN_OF = {material: stage.column for stage in reversed(STAGES.values()) if stage.column and stage.judged for material in stage.produces}

#: Kind of line, lot, step, step that opened the lot, mass in mg as read and dry.
Line = tuple[str, int, int, int, int, float]
Tiers = Mapping[int, Tier]


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop: stage, name, steps, runs, lots on the way, when, on which machines, mass of those lots as read."""

    key: str
    stage: str
    tier: Tier
    name: str
    steps: tuple[int, ...]
    runs: tuple[int, ...]
    lots: tuple[LotName, ...]
    first_at: dt.datetime
    last_at: dt.datetime
    machines: tuple[str, ...]
    out_mg: int
    entry: int
    aperture_um: int | None = None

    @property
    def column(self) -> int:
        """The stage's column of the lineage drawing."""
        return STAGES[self.stage].column or next((COLUMN_OF.get(lot.material) or 0 for lot in self.lots), 0)


@dataclass(frozen=True, slots=True)
class Way:
    """What went from one stop to another: mass as read, share of the dry mass that went into the second."""

    source: str
    target: str
    mass_mg: int
    share_frac: float


@dataclass(frozen=True, slots=True)
class Stops:
    """All stops of a trace in order of record, the ways between them, and the stop of each step."""

    stops: tuple[Stop, ...]
    ways: tuple[Way, ...]
    key_of: Mapping[int, str]

    def of_step(self, step: int) -> Stop | None:
        """Return the stop that a step belongs to."""
        key = self.key_of.get(step)
        return next((s for s in self.stops if s.key == key), None)


def gather(tiers: Tiers, wanted: Collection[int]) -> Stops:
    """Return the stops of some steps, each with its tier. ``wanted`` are lots that are named in any case."""
    return _Gathering({**loads_of(tiers), **tiers}, wanted).gathered()


def loads_of(tiers: Tiers) -> dict[int, Tier]:
    """Return the loads of the runs that steps belong to, as far as they came before the last of these steps."""
    run = Coalesce("continues_id", "pk")
    mine = Step.objects.filter(pk__in=list(tiers), stage="milling").annotate(run=run)
    last = dict(mine.order_by("pk").values_list("run", "pk"))
    loads = Step.objects.filter(Q(pk__in=list(last)) | Q(continues__in=list(last)), part="load").annotate(run=run)
    return {step: tiers[last[root]] for step, root in loads.values_list("pk", "run") if step <= last[root]}


class _Gathering:
    """Reads the steps once and lays them out as stops."""

    def __init__(self, tiers: Tiers, wanted: Collection[int]) -> None:
        self.tiers = tiers
        rows = Step.objects.filter(pk__in=list(tiers), stage__in=(*DRAWN, *WITHIN)).select_related("equipment").order_by("pk")
        rows = rows.filter(~Q(stage="removing") | Q(part="downgrade"))
        self.steps = {row.pk: row for row in rows}
        runs = {step.run_id for step in self.steps.values() if step.stage == "milling"}
        self.jobs = dict(MillingRun.objects.filter(pk__in=runs).values_list("pk", "job"))
        self.keys = {pk: self.key(step) for pk, step in self.steps.items()}
        self.flows = flows_at(list(self.steps))
        self.used = {lot for kind, lot, *_ in self.flows if kind == Flow.Kind.IN} | set(wanted)
        widths = SievePass.objects.filter(pk__in=list(self.steps)).values_list("pk", "screen__aperture_um")
        self.widths = dict(widths)

    def key(self, step: Step) -> str:
        """Return the key of a step's stop: jobs of one year and tier together, else each step alone."""
        job, year = self.jobs.get(step.run_id, ""), timezone.localtime(step.happened_at).year
        name = f"{year}-{job}" if job else str(step.run_id)
        return f"{step.stage}:{self.tiers[step.pk].name.lower()}:{name}"

    def gathered(self) -> Stops:
        """Return all stops and ways."""
        grouped: dict[str, list[Step]] = defaultdict(list)
        for pk, step in self.steps.items():
            grouped[self.keys[pk]].append(step)
        lots: dict[str, list[Lot]] = defaultdict(list)
        for lot in Lot.objects.filter(step__in=list(self.steps)).order_by("pk"):
            lots[self.keys[lot.step_id]].append(lot)
        made = (self.stop(key, steps, self.on_the_way(lots[key])) for key, steps in grouped.items())
        return Stops(tuple(sorted(made, key=lambda s: s.steps[0])), self.ways(), self.keys)

    def on_the_way(self, lots: Sequence[Lot]) -> list[Lot]:
        """Return the lots of a stop that somebody drew or asked for; all of its main lots where nobody has yet."""
        return [lot for lot in lots if lot.pk in self.used] or [lot for lot in lots if lot.material in MAIN]

    def stop(self, key: str, steps: Sequence[Step], lots: Sequence[Lot]) -> Stop:
        """Return one stop."""
        first, names, moments = steps[0], tuple(lot_name(lot) for lot in lots), [s.happened_at for s in steps]
        mine = {lot.pk for lot in lots}
        return Stop(
            key=key, stage=first.stage, tier=self.tiers[first.pk], name=self.name(first, names),
            steps=tuple(s.pk for s in steps), runs=tuple(sorted({s.run_id for s in steps})), lots=names,
            first_at=min(moments), last_at=max(moments),
            machines=tuple(sorted({s.equipment.code for s in steps if s.equipment})),
            out_mg=sum(mass for kind, lot, _, _, mass, _ in self.flows if kind == Flow.Kind.OUT and lot in mine),
            entry=first.entry_id, aperture_um=self.widths.get(first.pk),
        )

    def name(self, step: Step, names: Sequence[LotName]) -> str:
        """Return what people call a stop: the job, the lot that was made, else the machine."""
        if step.stage == "milling":
            return self.jobs.get(step.run_id, "") or (step.equipment.code if step.equipment else str(step.run_id))
        return names[0].name if names else str(step.pk)

    def ways(self) -> tuple[Way, ...]:
        """Return the ways between stops, from the draws of their steps."""
        mass: dict[tuple[str, str], int] = defaultdict(int)
        dry: dict[tuple[str, str], float] = defaultdict(float)
        whole: dict[str, float] = defaultdict(float)
        for kind, _, at, source, mass_mg, line_dry_mg in self.flows:
            if kind != Flow.Kind.IN:
                continue
            whole[self.keys[at]] += line_dry_mg
            if source in self.keys and self.keys[source] != self.keys[at]:
                mass[self.keys[source], self.keys[at]] += mass_mg
                dry[self.keys[source], self.keys[at]] += line_dry_mg
        return tuple(
            Way(source, target, mass_mg, dry[source, target] / whole[target] if whole[target] else 0.0)
            for (source, target), mass_mg in mass.items() if mass_mg
        )


def flows_at(step_ids: Sequence[int]) -> list[Line]:
    """Return the draws and outputs of steps, a correction at the step that it corrects."""
    mine = Q(step__in=step_ids) | Q(step__corrects__in=step_ids)
    rows = Flow.objects.annotate(at=Coalesce("step__corrects_id", "step_id")).filter(mine)
    fields = rows.filter(kind__in=[Flow.Kind.IN, Flow.Kind.OUT]).values_list(
        "kind", "lot_id", "at", "lot__step_id", "mass_mg", "moisture_frac"
    )
    return [(kind, lot, at, source, mass, dry_mg(mass, wet)) for kind, lot, at, source, mass, wet in fields]
