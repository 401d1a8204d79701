"""The way of one lot as a flow on dry matter: every balance that its leaf went through, and their sums by stage."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from lots.models import Flow, Lot, Step, StockCount
from lots.read.balances import SINGLE, BalanceNode, nodes_of_counts, nodes_of_runs, nodes_of_steps, standing_counts
from lots.read.milling import run_flows, standing_runs
from lots.read.season import SeasonBuilder
from lots.read.season_sums import LineSum, YearSums, balance_mg
from lots.read.sourcing import dry_mg
from lots.trade.season import SeasonFlow


@dataclass(frozen=True, slots=True)
class LotFlow:
    """The balances on a lot's way in order of record, and the same as a flow; ``open_runs`` are jobs that are not closed
    yet and so not judged."""

    nodes: tuple[BalanceNode, ...]
    flow: SeasonFlow
    open_runs: tuple[str, ...]


def lot_flow(back_steps: Collection[int], language: str = "en") -> LotFlow:
    """Return the flow over all steps that a lot's leaf came from, its own step among them; words in ``language``."""
    rows = list(Step.objects.filter(pk__in=list(back_steps)).values_list("pk", "stage", "continues_id"))
    runs = {continues or pk for pk, stage, continues in rows if stage == "milling"}
    singles = [pk for pk, stage, _ in rows if stage in SINGLE]
    counted = shelf_counts(rows)
    nodes = sorted(
        [*nodes_of_steps(singles), *nodes_of_runs(standing_runs().filter(pk__in=runs, closed=True)), *nodes_of_counts(counted)],
        key=lambda node: node.step,
    )
    still_open = standing_runs().filter(pk__in=runs, closed=False)
    in_mill = balance_mg(run_flows([run.pk for run in still_open]))
    sums = YearSums(tuple(sums_of(singles, runs)), 0.0, in_mill)
    flow = SeasonBuilder(0, sums, nodes, language).built().flow
    named = tuple(f"{run.job} {run.pair.code}".strip() for run in still_open)
    return LotFlow(tuple(nodes), replace(flow, stages=tuple(s for s in flow.stages if s.input_mg > 0), summary=""), named)


def shelf_counts(rows: Sequence[tuple[int, str, int | None]]) -> list[StockCount]:
    """Return the stock counts of the leaf that was drawn for the lot."""
    shelves = Lot.objects.filter(step__in=[pk for pk, stage, _ in rows if stage == "refining"], material="refined_leaf")
    return list(standing_counts().filter(lot__in=shelves).select_related("lot", "step", "scale").order_by("pk"))


def sums_of(step_ids: Iterable[int], run_ids: Iterable[int]) -> list[LineSum]:
    """Return the sums of all lines of steps and of whole runs; a correction counts where its step counts."""
    steps, runs = list(step_ids), list(run_ids)
    mine = Q(step__in=[*steps, *runs]) | Q(step__continues__in=runs) | Q(step__corrects__in=[*steps, *runs])
    rows = (
        Flow.objects.filter(mine | Q(step__corrects__continues__in=runs)).exclude(kind=Flow.Kind.DIFFERENCE)
        .annotate(stage=Coalesce("step__corrects__stage", "step__stage"))
        .values("stage", "kind", "role", "moisture_frac", material=F("lot__material")).annotate(total=Sum("mass_mg"))
    )
    found: dict[tuple[str, str, str, str], list[float]] = defaultdict(lambda: [0.0, 0])
    for row in rows.order_by():
        key = (row["stage"], row["kind"], row["role"], row["material"] or "")
        found[key][0] += dry_mg(row["total"], row["moisture_frac"])
        found[key][1] += row["total"] if row["moisture_frac"] is None else 0
    return [LineSum(*key, dry, int(unmeasured)) for key, (dry, unmeasured) in sorted(found.items())]
