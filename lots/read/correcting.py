"""A step as it stands with its corrections, and what another correction would change."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lots.balance.closure import close
from lots.models import Consignment, Flow, PackedUnit, Step
from lots.read.balances import SINGLE, flows_by_run, flows_by_step
from lots.read.closing import expectation, weighings
from lots.read.milling import standing_runs
from lots.read.names import lot_name
from lots.read.walking import down
from lots.trade.weighing import Balance


@dataclass(frozen=True, slots=True)
class StandingLine:
    """One weighing of a step: what was written first, what stands now, and on which scale it was read."""

    id: int
    kind: str
    role: str
    lot: str
    first_mg: int
    now_mg: int
    scale: str
    decimals_count: int
    by_reading: bool


@dataclass(frozen=True, slots=True)
class StandingStep:
    """A step with its weighings; ``taken_back`` when it did not happen, ``questioned`` what was asked when it came."""

    id: int
    entry: int
    stage: str
    part: str
    at: dt.datetime
    machine: str
    taken_back: bool
    reason: str
    questioned: str
    lines: tuple[StandingLine, ...]

    @property
    def weighings(self) -> tuple[StandingLine, ...]:
        """The lines that a hand read off a scale; only these can be corrected."""
        return tuple(line for line in self.lines if line.by_reading)


def standing_step(number: int) -> StandingStep | None:
    """Return a step as it stands, None where there is none or it is a correction itself."""
    step = Step.objects.select_related("equipment").filter(pk=number).exclude(stage="correcting").first()
    if step is None:
        return None
    gone = step.corrected_by.filter(part="reverse").exists()
    return StandingStep(
        step.pk, step.entry_id, step.stage, step.part, step.happened_at, step.equipment.code if step.equipment else "", gone,
        step.reason, step.questioned, tuple(standing_line(flow, flows) for flow, flows in own_lines(step)),
    )


def own_lines(step: Step) -> list[tuple[Flow, list[Flow]]]:
    """Return each line of a step with itself and the lines that correct it."""
    flows = flows_by_step([step.pk])[step.pk]
    own = [flow for flow in flows if flow.step_id == step.pk]
    return [(flow, [f for f in flows if f is flow or (f.step_id != step.pk and same_line(f, flow))]) for flow in own]


def same_line(one: Flow, other: Flow) -> bool:
    """Tell whether a correction speaks of a line: same side, role and lot."""
    return (one.kind, one.role, one.lot_id) == (other.kind, other.role, other.lot_id)


def standing_line(flow: Flow, flows: Sequence[Flow]) -> StandingLine:
    """Return one line with what stands of it."""
    scale = flow.scale
    weighed = flow.kind != Flow.Kind.DIFFERENCE and flow.reading_count > 0
    return StandingLine(
        flow.pk, flow.kind, flow.role, lot_name(flow.lot).name if flow.lot else "", flow.mass_mg, sum(f.mass_mg for f in flows),
        scale.code if scale else "", scale.decimals_count if scale else 3, weighed,
    )


def balances_with(number: int, masses_mg: Mapping[int, int], language: str) -> tuple[Balance, Balance] | None:
    """Return the balance that judges a step before and after a correction; None where nothing is judged (yet)."""
    step = Step.objects.get(pk=number)
    if step.stage in SINGLE:
        flows = flows_by_step([step.pk])[step.pk]
    elif step.stage == "milling" and standing_runs().filter(pk=step.run_id, closed=True).exists():
        flows = flows_by_run([step.run_id])[step.run_id]
    else:
        return None
    usual = expectation(step.stage)
    return close(weighings(flows), usual, language), close(weighings([*flows, *typed(step, masses_mg)]), usual, language)


def typed(step: Step, masses_mg: Mapping[int, int]) -> list[Flow]:
    """Return the lines that a correction would add; they are not in the book."""
    return [
        Flow(
            step=step, kind=flow.kind, role=flow.role, lot=flow.lot, reading_count=0, scale=flow.scale, sample=flow.sample,
            mass_mg=masses_mg[flow.pk] - sum(f.mass_mg for f in flows), moisture_frac=flow.moisture_frac,
            u_moisture_frac=flow.u_moisture_frac, moisture_how=flow.moisture_how,
        )
        for flow, flows in own_lines(step)
        if flow.pk in masses_mg
    ]


@dataclass(frozen=True, slots=True)
class Downstream:
    """What was made of a step's lots: later steps, packs, and consignments that hold its leaf."""

    step_count: int
    pack_count: int
    consignment_count: int


def downstream(number: int) -> Downstream:
    """Return how far a step reaches."""
    later = [step for step in down([number]) if step != number]
    packs = sum(unit.pack_count for unit in PackedUnit.objects.filter(step__in=later))
    sent = Consignment.objects.filter(step__in=later).exclude(step__corrected_by__part="reverse").count()
    return Downstream(len(later), packs, sent)
