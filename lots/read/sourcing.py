"""Where the leaf of a step came from: the source steps with the dry mass that each gave."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.db.models import BigIntegerField, Case, F, Sum, When

from lots.models import Flow
from lots.read.rows import marks, values

STEPS_OF_RUNS = """
SELECT id, id FROM step WHERE id IN ({marks}) UNION SELECT id, continues_id FROM step WHERE continues_id IN ({marks})
"""
RUNS_OF = "SELECT id, COALESCE(continues_id, id) FROM step WHERE id IN ({marks})"
RUNS_STANDING = """
SELECT s.id, COALESCE(s.continues_id, s.id), EXISTS (SELECT 1 FROM step b WHERE b.corrects_id = s.id AND b.part = 'reverse')
FROM step s WHERE s.id IN ({marks})
"""
INPUTS = """
SELECT f.step_id, l.step_id, f.mass_mg, f.moisture_frac FROM flow f JOIN lot l ON l.id = f.lot_id
WHERE f.kind = 'in' AND f.step_id IN ({marks})
UNION ALL
SELECT s.corrects_id, l.step_id, f.mass_mg, f.moisture_frac FROM step s JOIN flow f ON f.step_id = s.id JOIN lot l ON l.id = f.lot_id
WHERE f.kind = 'in' AND s.corrects_id IN ({marks})
ORDER BY 1, 2, 3
"""

FED = """
SELECT l.id, l.step_id FROM step s JOIN flow f ON f.step_id = s.id AND f.kind = 'in' JOIN lot l ON l.id = f.lot_id
WHERE COALESCE(s.corrects_id, s.id) IN ({marks}) GROUP BY l.id, l.step_id HAVING SUM(f.mass_mg) > 0
"""
USERS = """
SELECT COALESCE(s.corrects_id, s.id) FROM flow f JOIN step s ON s.id = f.step_id
WHERE f.kind = 'in' AND f.lot_id = %s GROUP BY COALESCE(s.corrects_id, s.id) HAVING SUM(f.mass_mg) > 0
"""
HOLDS_LEAF = """
SELECT s.id FROM step s WHERE s.id IN ({marks}) AND s.stage <> 'correcting' AND (
  EXISTS (SELECT 1 FROM lot l WHERE l.step_id = s.id) OR EXISTS (SELECT 1 FROM flow f WHERE f.step_id = s.id AND f.kind = 'in')
) ORDER BY s.id
"""


def dry_mg(mass_mg: int, moisture_frac: Decimal | float | None) -> float:
    """Return the dry mass of a line; where the moisture is not known the mass stands as it was read."""
    return mass_mg * (1.0 - float(moisture_frac or 0))


def steps_of_runs(run_ids: Iterable[int]) -> dict[int, int]:
    """Return every step of the runs (a step that nothing continues is a run of its own): step id to run id."""
    ids = list(run_ids)
    return dict(values(STEPS_OF_RUNS.format(marks=marks(ids)), [*ids, *ids])) if ids else {}


def runs_of(step_ids: Iterable[int]) -> dict[int, int]:
    """Return the run id of each step."""
    ids = list(step_ids)
    return dict(values(RUNS_OF.format(marks=marks(ids)), ids)) if ids else {}


def inputs(step_run: Mapping[int, int]) -> dict[int, list[tuple[int, int, float]]]:
    """Return for each run its draws as (step, source step, dry mg); a correction counts to the step that it corrects."""
    ids = list(step_run)
    lines = values(INPUTS.format(marks=marks(ids)), [*ids, *ids]) if ids else []
    found: dict[int, list[tuple[int, int, float]]] = defaultdict(list)
    for at, source, mass_mg, moisture in lines:
        found[step_run[at]].append((at, source, dry_mg(mass_mg, moisture)))
    return found


def sources(step_ids: Iterable[int]) -> dict[int, dict[int, float]]:
    """Return for each step its source steps with their dry mass in mg.

    In a run that lasts, a step can hold whatever was loaded before it was recorded. A step that was taken back holds nothing.
    """
    ids = list(step_ids)
    wanted = values(RUNS_STANDING.format(marks=marks(ids)), ids) if ids else []
    drawn = inputs(steps_of_runs({run for _, run, _ in wanted}))
    answer: dict[int, dict[int, float]] = {}
    for step, run, gone in wanted:
        given: dict[int, float] = defaultdict(float)
        for at, source, mass in drawn.get(run, ()):
            if at <= step and not gone:
                given[source] += mass
        answer[step] = {source: mass for source, mass in given.items() if mass > 0}
    return answer


def fed(step_ids: Iterable[int]) -> list[tuple[int, int]]:
    """Return the lots that were drawn by some steps, corrections counted, each with the step that opened it."""
    ids = list(step_ids)
    return [(lot, step) for lot, step in values(FED.format(marks=marks(ids)), ids)] if ids else []


def users(lot: int) -> list[int]:
    """Return the steps that drew a lot, corrections counted: a draw that was taken back is none."""
    return [step for (step,) in values(USERS, [lot])]


def with_leaf(step_ids: Iterable[int]) -> list[int]:
    """Return those steps that drew leaf or opened lots, in order: the others have nothing that could be traced."""
    ids = list(step_ids)
    return [step for (step,) in values(HOLDS_LEAF.format(marks=marks(ids)), ids)] if ids else []


def signed_mass() -> Sum:
    """Return the sum of a lot's lines: what came in or was found, less what was taken, in mg."""
    whole = BigIntegerField()
    return Sum(Case(When(kind=Flow.Kind.IN, then=-F("mass_mg")), default=F("mass_mg"), output_field=whole), output_field=whole)


def book_masses(key: str = "lot_id") -> dict[Any, int]:
    """Return what the lines of each lot make, in mg, by the lot's id or another of its fields."""
    rows = Flow.objects.filter(lot__isnull=False).values_list(key).annotate(total=signed_mass()).order_by()
    return {lot: int(total) for lot, total in rows}
