"""Laboratory results of a lot and of the lots that its leaf came through; samples that still wait for theirs."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q

from lots.models import Flow, Hold, LabResult, Lot, SampleTaken, Step
from lots.read.balances import not_taken_back
from lots.read.sourcing import runs_of, steps_of_runs
from lots.read.walking import up

#: Acts that stop a lot by a rule of the laboratory: such a hold ends with a decision that names its results.
BY_RESULT = ("testing.result", "releasing.refuse")


def standing_steps(stage: str) -> Q:
    """Return the condition that a thin row's step is of a stage and was not taken back."""
    return Q(step__in=Step.objects.filter(not_taken_back(), stage=stage).values("pk"))


def lots_on_the_way(lot: Lot) -> set[int]:
    """Return the lot and every lot whose leaf went into it."""
    runs = set(runs_of(up([lot.step_id])).values())
    drawn = Flow.objects.filter(kind=Flow.Kind.IN, step__in=list(steps_of_runs(runs))).values_list("lot_id", flat=True)
    return {lot.pk, *drawn}


def results_of(lot: Lot) -> list[LabResult]:
    """Return the standing results of a lot and of what its leaf came through, in order of record."""
    rows = LabResult.objects.filter(standing_steps("testing"), lot__in=lots_on_the_way(lot))
    return list(rows.select_related("step__entry", "lot", "laboratory", "sample__sampletaken").order_by("pk"))


def samples_waiting() -> list[SampleTaken]:
    """Return the samples without any result, the oldest first."""
    told = LabResult.objects.filter(standing_steps("testing"), sample=OuterRef("step"))
    rows = SampleTaken.objects.filter(standing_steps("sampling")).filter(~Exists(told))
    return list(rows.select_related("lot", "laboratory", "step").order_by("pk"))


def sample_named(number: str) -> SampleTaken | None:
    """Return the sample with this number on its bag, the newest where a number was used twice."""
    rows = SampleTaken.objects.filter(standing_steps("sampling"), sample_no__iexact=number.strip())
    return rows.select_related("lot", "laboratory").order_by("-pk").first() if number.strip() else None


def is_by_result(hold: Hold) -> bool:
    """Tell whether a hold came from a result or a decision that still stands."""
    if hold.entry.kind not in BY_RESULT:
        return False
    return Step.objects.filter(not_taken_back(), entry=hold.entry_id).exists()
