"""Which figure keeps a book from closing: bias and leak side by side, and serial elimination with its ties."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import stats

from lots.balance.least_squares import Array, Flags, Reduced, Solved, reduce, solve_part

#: Statistics closer than this share belong to hypotheses that the measurements cannot tell apart.
ALIKE = 1e-6
Given = tuple[Array, Array, Array, Flags]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One explanation: a ``bias`` of the stream or a ``leak`` at the balance of this position.

    ``statistic`` is chi-square with one degree of freedom; ``estimate`` is its size in the unit of the measurements (a leak
    counts as flowing out), ``u_estimate`` its standard uncertainty.
    """

    kind: str
    position: int
    statistic: float
    estimate: float
    u_estimate: float


@dataclass(frozen=True, slots=True, eq=False)
class EliminationStep:
    """One look: the global test, its limit, the tied ``suspects`` (positions of streams), and all hypotheses by size."""

    global_statistic: float
    degrees_of_freedom: int
    limit: float
    suspects: tuple[int, ...]
    suspect_statistic: float
    hypotheses: tuple[Hypothesis, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Elimination:
    """All steps in order. ``accepted`` when the last global test passed with something left to check; ``removed`` are the
    streams taken out, one for each group; the estimates are those without them."""

    steps: tuple[EliminationStep, ...]
    accepted: bool
    removed: tuple[int, ...]
    estimates: Array


def hypotheses(given: Given) -> tuple[Hypothesis, ...]:
    """Every bias of a measured stream and every leak of a balance, the most likely first.

    T = (f'H⁻¹r)² / (f'H⁻¹f), estimate f'H⁻¹r / f'H⁻¹f, for f = A e_i (bias) or e_j (leak); Narasimhan and Mah 1987.
    """
    balances, values, covariance, measured = given
    part = reduce(balances, values, covariance, measured)
    streams = np.flatnonzero(measured)
    biases = [_hypothesis("bias", int(i), part, part.balances[:, k]) for k, i in enumerate(streams)]
    leaks = [_hypothesis("leak", j, part, part.project[:, j]) for j in range(len(balances))]
    return tuple(sorted((h for h in (*biases, *leaks) if h is not None), key=lambda h: -h.statistic))


def _hypothesis(kind: str, position: int, part: Reduced, direction: Array) -> Hypothesis | None:
    seen = part.basis.T @ direction
    weight = float(seen @ seen)
    if weight <= ALIKE**2 * float(direction @ direction) or not weight:
        return None
    reach = float(seen @ part.distances)
    return Hypothesis(kind, position, reach**2 / weight, reach / weight, weight**-0.5)


def _suspects(solved: Solved) -> tuple[tuple[int, ...], float]:
    """The streams with the largest distance; those that are alike stand together."""
    checked = solved.redundant & (solved.variances_of_adjustments > 0)
    distances = np.zeros(len(checked))
    distances[checked] = np.abs(solved.adjustments[checked]) / np.sqrt(solved.variances_of_adjustments[checked])
    most = float(distances.max(initial=0.0))
    return tuple(int(i) for i in np.flatnonzero(distances >= most * (1 - ALIKE)) if checked[i]), most


def eliminate(given: Given, significance: float) -> Elimination:
    """Treat the likeliest suspect as unmeasured, solve again, until the global test passes or nothing is left to check.

    Of a group that cannot be told apart the first is taken out for the reckoning: any other gives the same.
    """
    balances, values, covariance, measured = given
    known = measured.copy()
    removed: list[int] = []
    steps: list[EliminationStep] = []
    while True:
        solved = solve_part(balances, values, covariance, known)
        limit = float(stats.chi2.ppf(1 - significance, solved.rank)) if solved.rank else 0.0
        passes = solved.rank == 0 or solved.statistic <= limit
        suspects, most = ((), 0.0) if passes else _suspects(solved)
        found = hypotheses((balances, values, covariance, known)) if solved.rank else ()
        steps.append(EliminationStep(solved.statistic, solved.rank, limit, suspects, most, found))
        if passes or not suspects:
            return Elimination(tuple(steps), passes and solved.rank > 0, tuple(removed), solved.estimates)
        removed.append(suspects[0])
        known[suspects[0]] = False
