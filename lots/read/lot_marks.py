"""What went otherwise on a lot's way, shown and not hidden: corrections, figures that were questioned, holds and recalls."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Q

from lots.models import Flow, Lot, Step
from lots.read.lot_book import HoldLine, holds_of


@dataclass(frozen=True, slots=True)
class Correction:
    """A correction on the way: when, which stage and step it speaks of (by its entry), the signed change, and why."""

    at: dt.datetime
    part: str
    stage: str
    corrects_entry: int
    change_mg: int
    lots: tuple[str, ...]
    reason: str
    entry: int


@dataclass(frozen=True, slots=True)
class QuestionedStep:
    """A step that the book could not explain when it was written: what it asked, and the reason that was given."""

    at: dt.datetime
    stage: str
    asked: str
    reason: str
    entry: int


@dataclass(frozen=True, slots=True)
class Marks:
    """Everything of that kind on a lot's way."""

    corrections: tuple[Correction, ...]
    questioned: tuple[QuestionedStep, ...]
    holds: tuple[HoldLine, ...]


def marks_of(lots: Sequence[Lot], back_steps: Collection[int]) -> Marks:
    """Return the corrections, questions and holds on the way of some lots of one step."""
    runs = {step.run_id for step in Step.objects.filter(pk__in=list(back_steps), stage="milling")}
    way = Step.objects.filter(Q(pk__in=list(back_steps)) | Q(continues__in=runs) | Q(pk__in=runs))
    corrections = Step.objects.filter(corrects__in=way.values("pk")).select_related("corrects").order_by("pk")
    asked = way.exclude(questioned="").order_by("pk")
    holds = {line.hold: line for lot in lots for line in holds_of(lot)}
    return Marks(
        tuple(correction(step) for step in corrections),
        tuple(QuestionedStep(s.happened_at, s.stage, s.questioned, s.reason, s.entry_id) for s in asked),
        tuple(holds[pk] for pk in sorted(holds)),
    )


def correction(step: Step) -> Correction:
    """Return one correction."""
    lines = Flow.objects.filter(step=step).select_related("lot")
    spoken = step.corrects
    return Correction(
        step.happened_at, step.part, spoken.stage if spoken else "", spoken.entry_id if spoken else 0, sum(f.mass_mg for f in lines),
        tuple(dict.fromkeys(str(f.lot) for f in lines if f.lot_id)), step.reason, step.entry_id,
    )
