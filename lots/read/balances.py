"""Does it add up: the dry-matter balance of every step and every closed run."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce
from django.utils import timezone

from lots.balance.closure import close
from lots.models import Flow, MillingRun, Step, StockCount
from lots.read.closing import expectation, expectations, weighings
from lots.read.milling import standing_runs
from lots.read.shelves import lines_of_counts
from lots.trade.stages import STAGES
from lots.trade.weighing import Balance, Expectation, Side, Weighing

SINGLE = ("drying", "refining", "sieving", "packing", "combining", "blending", "hiring")


@dataclass(frozen=True, slots=True)
class BalanceNode:
    """One balance: the step (or first step of a run) that it judges, its lots and machine, its lines and the answer."""

    step: int
    stage: str
    name: str
    happened_at: dt.datetime
    machine: str
    lots_in: tuple[str, ...]
    lots_out: tuple[str, ...]
    lines: tuple[Weighing, ...]
    balance: Balance
    job: str = ""

    @property
    def week(self) -> str:
        """The calendar week of the factory in which it happened."""
        return "{0.year}-W{0.week:02d}".format(timezone.localtime(self.happened_at).isocalendar())

    @property
    def at_risk_mg(self) -> int:
        """The mass that the balance speaks of: what went in, as read."""
        return sum(line.mass_mg for line in self.lines if line.side is Side.IN)


def not_taken_back() -> Exists:
    """Return the condition that a step was not taken back."""
    return ~Exists(Step.objects.filter(corrects=OuterRef("pk"), part="reverse"))


def nodes(stages: Sequence[str] = (), lot: int | None = None) -> list[BalanceNode]:
    """Return every balance in order of record; of some stages only, or only those that a lot has a line in."""
    wanted = set(stages or STAGES)
    found = [*single_nodes(wanted, lot), *run_nodes(wanted, lot), *count_nodes(wanted, lot)]
    return sorted(found, key=lambda n: n.step)


def node_of(step: int) -> BalanceNode | None:
    """Return the balance that judges a step, or the run or count that it belongs to."""
    row = Step.objects.filter(pk=step).first()
    if row is None:
        return None
    run = row.run_id
    if row.stage in SINGLE:
        return next(iter(nodes_of_steps([run])), None)
    if row.stage == "milling":
        return next(iter(nodes_of_runs(standing_runs().filter(pk=run, closed=True))), None)
    return next(iter(nodes_of_counts(standing_counts().filter(pk=run).select_related("lot", "step", "scale"))), None)


def touching(lot: int | None) -> Q:
    """Return the condition that a lot has a line in a step."""
    return Q() if lot is None else Q(pk__in=Flow.objects.filter(lot=lot).values(at=Coalesce("step__corrects_id", "step_id")))


def single_nodes(stages: set[str], lot: int | None) -> list[BalanceNode]:
    """Return the balances of the stages that are one step each."""
    here = [s for s in SINGLE if s in stages]
    return nodes_of_steps(Step.objects.filter(touching(lot), not_taken_back(), stage__in=here).values_list("pk", flat=True))


def nodes_of_steps(step_ids: Iterable[int]) -> list[BalanceNode]:
    """Return the balances of single steps."""
    ids = list(step_ids)
    flows = flows_by_step(ids)
    usual = expectations()
    steps = Step.objects.filter(not_taken_back(), pk__in=ids).select_related("equipment").order_by("pk")
    return [made(step, flows[step.pk], usual) for step in steps]


def flows_by_step(ids: Sequence[int]) -> dict[int, list[Flow]]:
    """Return the lines of steps, corrections under the step that they correct."""
    rows = (
        Flow.objects.annotate(at=Coalesce("step__corrects_id", "step_id"))
        .filter(Q(step__in=ids) | Q(step__corrects__in=ids))
        .select_related("scale", "lot", "step")
        .order_by("pk")
    )
    found: dict[int, list[Flow]] = defaultdict(list)
    for flow in rows:
        found[flow.at].append(flow)  # type: ignore[attr-defined]
    return found


def made(step: Step, flows: Sequence[Flow], usual: Mapping[str, Expectation]) -> BalanceNode:
    """Return the balance of one step from its lines."""
    lines = weighings(flows)
    lots_in = names(f for f in flows if f.kind == Flow.Kind.IN)
    lots_out = names(f for f in flows if f.kind == Flow.Kind.OUT)
    name = (lots_out or lots_in or (f"step {step.pk}",))[0]
    return BalanceNode(
        step.pk, step.stage, name, step.happened_at, step.equipment.code if step.equipment else "", lots_in, lots_out,
        tuple(lines), close(lines, usual[step.stage]),
    )


def names(flows: Iterable[Flow]) -> tuple[str, ...]:
    """Return the names of the lots of some lines, each once."""
    return tuple(dict.fromkeys(str(f.lot) for f in flows if f.lot_id))


def run_nodes(stages: set[str], lot: int | None) -> list[BalanceNode]:
    """Return the balances of closed runs."""
    if "milling" not in stages:
        return []
    runs = standing_runs().filter(closed=True)
    if lot is not None:
        mine = Flow.objects.filter(lot=lot).values(run=Coalesce("step__continues_id", "step_id"))
        runs = runs.filter(pk__in=mine)
    return nodes_of_runs(runs)


def nodes_of_runs(runs: Iterable[MillingRun]) -> list[BalanceNode]:
    """Return the balances of runs, all their lines in one query."""
    rows = list(runs)
    flows = flows_by_run([r.pk for r in rows])
    usual = expectation("milling")
    answer = []
    for run in rows:
        lines = tuple(weighings(flows[run.pk]))
        lots_in = names(f for f in flows[run.pk] if f.kind == Flow.Kind.IN)
        lots_out = names(f for f in flows[run.pk] if f.kind == Flow.Kind.OUT)
        name = f"{run.job} {run.pair.code}".strip()
        answer.append(BalanceNode(
            run.pk, "milling", name, run.step.happened_at, run.pair.equipment.code, lots_in, lots_out, lines, close(lines, usual), run.job
        ))
    return answer


def flows_by_run(run_ids: Sequence[int]) -> dict[int, list[Flow]]:
    """Return the lines of runs with their corrections, by run."""
    run = Coalesce("step__corrects__continues_id", "step__corrects_id", "step__continues_id", "step_id")
    mine = Q(step__in=run_ids) | Q(step__continues__in=run_ids) | Q(step__corrects__in=run_ids) | Q(step__corrects__continues__in=run_ids)
    found: dict[int, list[Flow]] = defaultdict(list)
    for flow in Flow.objects.annotate(run=run).filter(mine).select_related("scale", "lot", "step").order_by("pk"):
        found[flow.run].append(flow)  # type: ignore[attr-defined]
    return found


def count_nodes(stages: set[str], lot: int | None) -> list[BalanceNode]:
    """Return the balances of the shelf, one for each stock count."""
    if "counting" not in stages:
        return []
    counts = standing_counts().select_related("lot", "step", "scale").order_by("pk")
    if lot is not None:
        counts = counts.filter(pk__in=Flow.objects.filter(lot=lot).values("step_id"))
    return nodes_of_counts(counts)


def standing_counts() -> QuerySet[StockCount]:
    """Return the stock counts that were not taken back."""
    return StockCount.objects.filter(~Exists(Step.objects.filter(corrects=OuterRef("step_id"), part="reverse")))


def nodes_of_counts(counts: Iterable[StockCount]) -> list[BalanceNode]:
    """Return the balances of counts (read with lot, step and scale), their lines in a handful of queries."""
    rows = list(counts)
    lines = lines_of_counts(rows, standing_counts())
    usual = expectation("counting")
    return [
        BalanceNode(
            count.pk, "counting", str(count.lot), count.step.happened_at, "", (str(count.lot),), (),
            tuple(lines[count.pk]), close(lines[count.pk], usual),
        )
        for count in rows
    ]
