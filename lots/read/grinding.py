"""The run of a stone pair as it is read while a tub is taken off: hours by the clock, and the job's moisture sample.

``act_id`` leaves out what that act and later ones wrote, so that an act that is sent twice reads the same both times.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from django.db.models import Q

from lots.models import Flow, JournalEntry, Lot, MillingRun, Step
from lots.read.milling import open_run, standing_runs
from lots.trade.materials import GROUND


def written_before(act_id: uuid.UUID | None) -> int | None:
    """Return the entry of an act that was written already, None while it was not."""
    return JournalEntry.objects.filter(act_id=act_id).values_list("seq", flat=True).first() if act_id else None


def run_at(pair: str, before: int | None) -> MillingRun | None:
    """Return the newest run of a pair, or the newest that stood before an entry."""
    rows = standing_runs().filter(pair__code=pair)
    if before is not None:
        rows = rows.filter(step__entry__lt=before)
    run: MillingRun | None = rows.order_by("-pk").first()
    return run


def own_lines(run: MillingRun, before: int | None) -> list[Flow]:
    """Return the weighings of a run that stand, in order of record, without corrections."""
    rows = Flow.objects.filter(Q(step=run.pk) | Q(step__continues=run.pk)).exclude(step__corrected_by__part="reverse")
    if before is not None:
        rows = rows.filter(step__entry__lt=before)
    return list(rows.select_related("step", "lot").order_by("pk"))


def grinding_since(loads: Sequence[Flow], offs: Sequence[Flow]) -> dt.datetime:
    """Return since when the next tub is ground: the first charge after the last tub, else that tub itself."""
    last_off = max((f.step.happened_at for f in offs), default=None)
    after = [f.step.happened_at for f in loads if last_off is None or f.step.happened_at >= last_off]
    return min(after) if after else last_off or loads[0].step.happened_at


def ground_since(pair: str, at: dt.datetime, act_id: uuid.UUID | None = None) -> dt.datetime | None:
    """Return since when a pair grinds the tub that is taken off at a moment; None where no charge lies before it."""
    before = written_before(act_id)
    run = run_at(pair, before)
    lines = [f for f in own_lines(run, before) if f.step.happened_at <= at] if run else []
    loads = [f for f in lines if f.kind == Flow.Kind.IN]
    offs = [f for f in lines if f.kind == Flow.Kind.OUT and f.role in GROUND]
    return grinding_since(loads, offs) if loads else None


def sample_of_job(pair: str, act_id: uuid.UUID | None = None) -> Lot | None:
    """Return the tub of a pair's job whose moisture was measured, the newest; its sample speaks for the whole job."""
    before = written_before(act_id)
    run = run_at(pair, before)
    if run is None:
        return None
    runs = Q(step__continues=run.pk)
    if run.job:
        runs |= Q(step__continues__millingrun__job=run.job)
    rows = Flow.objects.filter(runs, role="tub_powder", kind=Flow.Kind.OUT, moisture_how=Flow.How.MEASURED)
    rows = rows.exclude(step__corrected_by__part="reverse")
    if before is not None:
        rows = rows.filter(step__entry__lt=before)
    line = rows.select_related("lot").order_by("-pk").first()
    return line.lot if line else None


def job_to_be(pair: str, leaf: Lot, act_id: uuid.UUID | None = None) -> str:
    """Return the job of a charge for which nobody types one: on a pair that stands idle the only job in which others mill
    this leaf right now; nothing where there is none, or several, or where the pair mills already."""
    before = written_before(act_id)
    if before is not None:
        return MillingRun.objects.filter(step__entry=before).values_list("job", flat=True).first() or ""
    if open_run(pair) is not None:
        return ""
    charged = Flow.objects.filter(lot=leaf, kind=Flow.Kind.IN, role="charge").values("step")
    milling = Q(step__in=charged) | Q(step__in=Step.objects.filter(pk__in=charged).values("continues"))
    jobs = set(standing_runs().filter(milling, closed=False).exclude(job="").values_list("job", flat=True))
    return jobs.pop() if len(jobs) == 1 else ""


def tubs_of_job(job: str, act_id: uuid.UUID | None = None) -> list[Lot]:
    """Return the tubs of a job that nobody has used, in order of record."""
    before = written_before(act_id)
    rows = Lot.objects.filter(material="tub_powder", step__continues__millingrun__job__iexact=job)
    used = Flow.objects.filter(kind=Flow.Kind.IN, mass_mg__gt=0).exclude(step__corrected_by__part="reverse")
    if before is not None:
        rows, used = rows.filter(step__entry__lt=before), used.filter(step__entry__lt=before)
    gone = used.filter(lot__in=rows).values("lot")
    return list(rows.exclude(pk__in=gone).exclude(step__corrected_by__part="reverse").order_by("pk"))
