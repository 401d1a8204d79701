"""The wall of stone pairs: what each one does, at which rate, and when its hopper will run dry."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum
from django.db.models.functions import Coalesce

from lots.balance.throughput import BASE_RUNS, PairState, pair_state
from lots.models import CleanDown, Flow, MillingClose, MillingRun, MillingTub, Step, StonePair
from lots.read.grinding import grinding_since
from lots.read.milling import run_flows, standing_runs
from lots.read.names import lot_name
from lots.read.registers import in_force
from lots.read.sourcing import dry_mg
from lots.trade.materials import GROUND

FEWEST_FOR_USUAL = 3


@dataclass(frozen=True, slots=True)
class TubFacts:
    """A tub that stands: its step, when it was taken off, its mass, hours, the pair's hours on its dressing then."""

    step: int
    at: dt.datetime
    mass_mg: int
    ground_h: float
    dressed_h: float

    @property
    def rate_g_per_h(self) -> float:
        """What the pair gave for it."""
        return self.mass_mg / 1000 / self.ground_h


@dataclass(frozen=True, slots=True)
class RunFacts:
    """An open run: job, leaf, what went in and came out, when the hopper will be dry (None: not to be known)."""

    step: int
    job: str
    leaf: str
    leaf_code: str
    began_at: dt.datetime
    since_at: dt.datetime
    load_count: int
    tub_count: int
    loaded_mg: int
    taken_mg: int
    dry_at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class PairNow:
    """One stone pair as it stands: its open run if any, its last tub, and what is doubtful about it.

    ``not_emptied_after`` names the job before, when another leaf was loaded with neither left-over nor an opened
    clean-down between; ``cleaned_at`` is the last clean-down at which it was opened.
    """

    code: str
    run: RunFacts | None
    last: TubFacts | None
    usual_g_per_h: tuple[float, float] | None
    state: PairState
    dressed_h: float
    not_emptied_after: str
    last_job: str
    closed_at: dt.datetime | None
    cleaned_at: dt.datetime | None

    @property
    def number(self) -> str:
        """The pair's number as it is painted on the frame; its code where there is none."""
        found = re.search(r"(\d+)$", self.code)
        return found.group(1) if found else self.code


@dataclass(frozen=True, slots=True)
class _Before:
    """What was on a pair: its runs in order of record, the step and time of its last opening, and how runs ended."""

    runs: tuple[MillingRun, ...]
    cleaned: tuple[int, dt.datetime] | None
    closes: dict[int, tuple[int, dt.datetime]]


def pairs_now(codes: Sequence[str] = ()) -> list[PairNow]:
    """Return the pairs in order of code, all of them or some."""
    rows = in_force(StonePair).select_related("equipment")
    pairs = list(rows.filter(code__in=codes) if codes else rows)
    before = histories(pairs)
    tubs = tubs_since_dressing(pairs)
    running = [run.pk for b in before.values() for run in b.runs if not run.closed]  # type: ignore[attr-defined]
    flows: dict[int, list[Flow]] = defaultdict(list)
    for flow in run_flows(running):
        flows[spoken_of(flow).run_id].append(flow)
    return [pair_now(pair, before[pair.code], tubs[pair.code], flows) for pair in pairs]


def spoken_of(flow: Flow) -> Step:
    """Return the step that a line speaks of: its own, or the one that it corrects."""
    return flow.step.corrects or flow.step


def histories(pairs: Iterable[StonePair]) -> dict[str, _Before]:
    """Return the runs, ends and clean-downs of pairs."""
    codes = {pair.code: pair.equipment.code for pair in pairs}
    runs: dict[str, list[MillingRun]] = defaultdict(list)
    for run in standing_runs().filter(pair__code__in=list(codes)).order_by("pk"):
        runs[run.pair.code].append(run)
    newest = [run.pk for of_pair in runs.values() for run in of_pair[-2:]]
    ends = MillingClose.objects.filter(step__continues__in=newest).exclude(step__corrected_by__part="reverse")
    closes = {c.step.continues_id or 0: (c.left_over_mg, c.step.happened_at) for c in ends.select_related("step")}
    stand = CleanDown.objects.exclude(step__corrected_by__part="reverse")
    opened = stand.filter(opened=True, step__equipment__code__in=list(codes.values()))
    rows = opened.order_by("pk").values_list("step__equipment__code", "pk", "step__happened_at")
    cleaned = {code: (pk, at) for code, pk, at in rows}
    return {code: _Before(tuple(runs[code]), cleaned.get(machine), closes) for code, machine in codes.items()}


def tubs_since_dressing(pairs: Iterable[StonePair]) -> dict[str, list[TubFacts]]:
    """Return the tubs of each pair since its dressing, in order of record, masses with their corrections."""
    run = "step__continues__millingrun__pair"
    mine = MillingTub.objects.filter(**{f"{run}__in": list(pairs)}).exclude(step__corrected_by__part="reverse")
    rows = list(mine.order_by("pk").values_list(f"{run}__code", "pk", "step__happened_at", "ground_h", "dressed_h"))
    lines = Flow.objects.annotate(at=Coalesce("step__corrects_id", "step_id")).filter(at__in=[row[1] for row in rows])
    summed = lines.filter(kind=Flow.Kind.OUT, role__in=GROUND).values("at").annotate(sum=Sum("mass_mg"))
    masses = dict(summed.values_list("at", "sum"))
    found: dict[str, list[TubFacts]] = defaultdict(list)
    for code, step, when, ground_h, dressed_h in rows:
        found[code].append(TubFacts(step, when, masses.get(step, 0), float(ground_h), float(dressed_h)))
    return found


def pair_now(pair: StonePair, before: _Before, tubs: list[TubFacts], flows: dict[int, list[Flow]]) -> PairNow:
    """Return one pair as it stands."""
    newest = before.runs[-1] if before.runs else None
    run = newest if newest is not None and not newest.closed else None  # type: ignore[attr-defined]
    rates = [tub.rate_g_per_h for tub in tubs]
    facts = run_facts(run, flows[run.pk], tubs) if run else None
    ended = before.closes.get(newest.pk) if newest and not run else None
    return PairNow(
        pair.code, facts, tubs[-1] if tubs else None, usual(rates), pair_state(rates),
        tubs[-1].dressed_h if tubs else float(pair.dressed_h), not_emptied_after(before, flows[run.pk]) if run else "",
        newest.job if newest else "", ended[1] if ended else None, before.cleaned[1] if before.cleaned else None,
    )


def usual(rates: Sequence[float]) -> tuple[float, float] | None:
    """Return the least and the most that a pair gave in its first runs after dressing, the newest left out."""
    base = rates[:-1][:BASE_RUNS]
    return (min(base), max(base)) if len(base) >= FEWEST_FOR_USUAL else None


def run_facts(run: MillingRun, flows: Sequence[Flow], tubs: Sequence[TubFacts]) -> RunFacts:
    """Return an open run from its lines."""
    loads = [f for f in flows if f.kind == Flow.Kind.IN and f.reading_count]
    offs = [f for f in flows if f.kind == Flow.Kind.OUT and f.role in GROUND and f.reading_count]
    leaf = loads[-1].lot
    rate = tubs[-1].rate_g_per_h if tubs else 0.0
    loaded = sum(f.mass_mg for f in flows if f.kind == Flow.Kind.IN)
    taken = sum(f.mass_mg for f in flows if f.kind == Flow.Kind.OUT)
    return RunFacts(
        run.pk, run.job, lot_name(leaf).name if leaf else "", leaf.code if leaf else "", run.step.happened_at,
        grinding_since(loads, offs), len(loads), len(offs), loaded, taken, runs_dry_at(flows, rate),
    )


def runs_dry_at(flows: Sequence[Flow], rate_g_per_h: float) -> dt.datetime | None:
    """Return when the hopper will be empty at the pair's last rate, walked through charges and tubs in order of time.

    Grinding moves dry matter: the rate of powder is taken with the moisture of the last powder (none known: as read).
    """
    timed = ((spoken_of(f).happened_at, f) for f in flows if f.kind in {Flow.Kind.IN, Flow.Kind.OUT})
    moves = sorted(timed, key=lambda move: (move[0], move[1].pk))
    powder = [f.moisture_frac for _, f in moves if f.role == "tub_powder" and f.moisture_frac is not None]
    rate = rate_g_per_h * 1000 * (1 - float(powder[-1] if powder else Decimal(0)))
    if not moves or not rate:
        return None
    at, left, total = moves[0][0], 0.0, 0.0
    for when, flow in moves:
        charged = flow.kind == Flow.Kind.IN
        dry = dry_mg(flow.mass_mg, flow.moisture_frac) * (1 if charged else -1)
        ground = rate * (when - at).total_seconds() / 3600
        total += dry
        at, left = when, max(0.0, left - ground) + dry if charged else max(0.0, total)
    return at + dt.timedelta(hours=left / rate)


def not_emptied_after(before: _Before, flows: Sequence[Flow]) -> str:
    """Return the job before, when this run's leaf came onto stones that were neither emptied nor opened and cleaned."""
    if len(before.runs) < 2 or not flows:
        return ""
    earlier, run = before.runs[-2], before.runs[-1]
    left_mg = before.closes.get(earlier.pk, (0, None))[0]
    cleaned = before.cleaned is not None and earlier.pk < before.cleaned[0] < run.pk
    of_earlier = Q(step=earlier.pk) | Q(step__continues=earlier.pk)
    same = Flow.objects.filter(of_earlier, kind=Flow.Kind.IN, lot=flows[0].lot_id).exists()
    return "" if left_mg or cleaned or same else earlier.job or earlier.pair.code
