"""Checks of scales: the newest of each, and what a failed one puts in question, weighing by weighing and balance by balance."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from lots.models import Flow, Lot, Scale, ScaleCheck, ScaleClear, Step
from lots.read.balances import not_taken_back
from lots.read.names import LotName, lot_name
from lots.read.registers import in_force

#: D = in − out − lost: what a line's change does to its balance.
SIGNS = {Flow.Kind.IN: 1, Flow.Kind.OUT: -1, Flow.Kind.LOST: -1}


@dataclass(frozen=True, slots=True)
class Span:
    """From the last good check before a failed one (None: none stands) to the next good one (None: none yet)."""

    good_at: dt.datetime | None
    next_good_at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Doubted:
    """One weighing in question: ``change_mg`` is what the check weight would make of it, ``in_balance_mg`` what that does to the
    not-found mass of its step, ``balance_mg`` what all weighings of that step or run do together."""

    at: dt.datetime
    stage: str
    step: int
    run: int
    entry: int
    lot: LotName | None
    kind: str
    role: str
    mass_mg: int
    change_mg: int
    in_balance_mg: int
    balance_mg: int

    @property
    def would_be_mg(self) -> int:
        """The mass as the check weight would have it."""
        return self.mass_mg + self.change_mg


@dataclass(frozen=True, slots=True)
class ScaleNow:
    """A scale in use with its newest check."""

    code: str
    name: str
    check: ScaleCheck | None


def standing_checks() -> QuerySet[ScaleCheck, ScaleCheck]:
    """Return the checks that were not taken back."""
    rows = ScaleCheck.objects.filter(step__in=Step.objects.filter(not_taken_back(), stage="scale_check").values("pk"))
    return rows.select_related("step", "scale", "weight")


def standing_clears() -> QuerySet[ScaleClear, ScaleClear]:
    """Return the clearing words that were not taken back."""
    return ScaleClear.objects.filter(step__in=Step.objects.filter(not_taken_back(), stage="scale_check").values("pk"))


def check_of(step: int) -> ScaleCheck | None:
    """Return a check that stands."""
    return standing_checks().filter(pk=step).first()


def is_cleared(check: ScaleCheck) -> bool:
    """Tell whether somebody cleared the weighings of a failed check."""
    return standing_clears().filter(failed=check.pk).exists()


def open_failures() -> list[ScaleCheck]:
    """Return the failed checks whose weighings nobody cleared, the oldest first."""
    cleared = standing_clears().filter(failed=OuterRef("pk"))
    return list(standing_checks().filter(within=False).filter(~Exists(cleared)).order_by("step__happened_at", "pk"))


def span_of(check: ScaleCheck) -> Span:
    """Return between which good checks a failed one stands."""
    good = standing_checks().filter(scale__code=check.scale.code, within=True)
    before = good.filter(step__happened_at__lt=check.step.happened_at).order_by("-step__happened_at").first()
    after = good.filter(step__happened_at__gt=check.step.happened_at).order_by("step__happened_at").first()
    return Span(before.step.happened_at if before else None, after.step.happened_at if after else None)


def lines_in(check: ScaleCheck, span: Span) -> QuerySet[Flow, Flow]:
    """Return the readings of a scale between two good checks."""
    steps = Step.objects.filter(not_taken_back(), stage__isnull=False)
    if span.good_at is not None:
        steps = steps.filter(happened_at__gte=span.good_at)
    if span.next_good_at is not None:
        steps = steps.filter(happened_at__lt=span.next_good_at)
    lines = Flow.objects.filter(scale__code=check.scale.code, reading_count__gt=0, step__in=steps.values("pk"))
    return lines.exclude(kind=Flow.Kind.DIFFERENCE).select_related("lot", "step").order_by("pk")


def change_of(mass_mg: int, check: ScaleCheck) -> int:
    """Return what a reading would change by if the scale were off by the same share at every load."""
    return round(mass_mg * (check.weight.nominal_mg / check.shown_mg - 1)) if check.shown_mg > 0 else 0


def doubted(check: ScaleCheck) -> list[Doubted]:
    """Return every weighing that a failed check puts in question, in order of record."""
    lines = list(lines_in(check, span_of(check)))
    sums: dict[int, int] = defaultdict(int)
    for line in lines:
        sums[line.step.run_id] += in_balance(line, check)
    return [
        Doubted(
            line.step.happened_at, line.step.stage, line.step_id, line.step.run_id, line.step.entry_id,
            lot_name(line.lot) if line.lot else None, line.kind, line.role, line.mass_mg, change_of(line.mass_mg, check),
            in_balance(line, check), sums[line.step.run_id],
        )
        for line in lines
    ]


def in_balance(line: Flow, check: ScaleCheck) -> int:
    """Return what the change of one line does to what its step did not find."""
    return SIGNS[Flow.Kind(line.kind)] * change_of(line.mass_mg, check)


def questioned_by(lot: Lot) -> list[ScaleCheck]:
    """Return the failed checks, not cleared, that put a weighing of a lot in question."""
    return [check for check in open_failures() if lines_in(check, span_of(check)).filter(lot=lot).exists()]


def scales_now() -> list[ScaleNow]:
    """Return every scale in use with its newest check."""
    newest = {check.scale.code: check for check in standing_checks().order_by("step__happened_at", "pk")}
    return [ScaleNow(scale.code, scale.name, newest.get(scale.code)) for scale in in_force(Scale)]


def scales_due(now: dt.datetime) -> list[ScaleNow]:
    """Return the scales that were read today and not checked today; none where the house has no check weights."""
    day = timezone.localtime(now).replace(hour=0, minute=0, second=0, microsecond=0)
    read = set(Flow.objects.filter(step__happened_at__gte=day, reading_count__gt=0).values_list("scale__code", flat=True).distinct())
    checked = set(standing_checks().filter(step__happened_at__gte=day).values_list("scale__code", flat=True))
    return [one for one in scales_now() if one.code in read - checked]
