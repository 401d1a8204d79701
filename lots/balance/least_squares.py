"""Weighted least squares of one connected part of a ledger, dense: any linear balances, unmeasured streams, fixed values.

Minimise (y - x)' V⁻¹ (y - x) subject to A x = 0. Streams that nobody measured are projected out first (Crowe, Garcia
Campos and Hrymak 1983; the same by QR in Romagnoli and Sanchez), so that what is left tells redundant from not redundant.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Below this share of the largest a singular value, a column or a variance counts as nothing.
NOTHING = 1e-9
#: Fixed values may miss their balance by this share of what flows before they contradict each other.
CONTRADICTION = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Reduced:
    """The balances of a part without its unmeasured streams, ready to be solved.

    ``balances`` (rows × measured streams) hold among the measured alone, ``project`` makes them of the part's own rows,
    ``gain`` is V B' H⁻½ (measured × rank), ``distances`` are the residuals in units of their own scatter (rank).
    """

    project: Array
    balances: Array
    gain: Array
    basis: Array
    distances: Array


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """One part solved. Streams in the order given; NaN where a figure does not exist."""

    estimates: Array
    adjustments: Array
    variances_of_adjustments: Array
    covariance: Array
    redundant: Flags
    determinable: Flags
    statistic: float
    rank: int


def singular(matrix: Array) -> tuple[Array, Array, Array, int]:
    """The full singular value decomposition (u, s, v') and the numerical rank."""
    u, s, vt = np.linalg.svd(matrix, full_matrices=True)
    rank = int(np.sum(s > NOTHING * s[0])) if s.size and s[0] > 0 else 0
    return u, s, vt, rank


def root_of(covariance: Array) -> Array:
    """A matrix L with L L' = V, for a covariance that may hold zeros. Raises ValueError where V has a negative direction."""
    if np.count_nonzero(covariance - np.diag(np.diagonal(covariance))) == 0:
        values, vectors = np.diagonal(covariance), np.eye(len(covariance))
    else:
        values, vectors = np.linalg.eigh(covariance)
    if values.size and values.min() < -NOTHING * max(values.max(), 0.0):
        raise ValueError("The covariance is not one: it has a direction of negative variance.")
    root: Array = vectors * np.sqrt(np.clip(values, 0.0, None))
    return root


def reduce(balances: Array, values: Array, covariance: Array, measured: Flags) -> Reduced:
    """Project the unmeasured streams out and bring the rest to independent residuals of unit variance.

    ``balances`` rows × streams, ``values`` of all streams (what is unmeasured is not read), ``covariance`` of all.
    Raises ValueError where values that are fixed (variance 0) contradict each other.
    """
    hidden = balances[:, ~measured]
    u, _, _, rank = singular(hidden) if hidden.size else (np.eye(len(balances)), 0, 0, 0)
    project = u[:, rank:].T
    left = project @ balances[:, measured]
    left[np.abs(left) < 1e-12] = 0.0
    known, variance = values[measured], covariance[np.ix_(measured, measured)]
    weighted = left @ root_of(variance)
    sizes = np.linalg.norm(weighted, axis=1)
    scale = np.divide(1.0, sizes, out=np.ones_like(sizes), where=sizes > 0)
    u, s, _, rank = singular(scale[:, None] * weighted)
    basis = scale[:, None] * u[:, :rank] / s[:rank]
    residuals = left @ known
    refuse_contradiction(scale * residuals, u[:, :rank], scale * (np.abs(left) @ np.abs(known)))
    return Reduced(project, left, variance @ left.T @ basis, basis, basis.T @ residuals)


def refuse_contradiction(residuals: Array, reached: Array, flowing: Array) -> None:
    """Refuse residuals that no measurement with a scatter can take up."""
    rest = residuals - reached @ (reached.T @ residuals)
    if np.any(np.abs(rest) > CONTRADICTION * (np.linalg.norm(flowing) + np.finfo(float).tiny)):
        raise ValueError("Values that are given as exact contradict each other: their balance does not close.")


def solve_part(balances: Array, values: Array, covariance: Array, measured: Flags) -> Solved:
    """Solve one part: see the module's text. Shapes: balances rows × n, values n, covariance n × n, measured n."""
    sizes = np.linalg.norm(balances, axis=1)
    rows = balances / np.where(sizes > 0, sizes, 1.0)[:, None]
    part = reduce(rows, values, covariance, measured)
    n = len(values)
    estimates, adjustments, shares = (np.full(n, np.nan) for _ in range(3))
    adjustments[measured] = part.gain @ part.distances
    estimates[measured] = values[measured] - adjustments[measured]
    shares[measured] = np.sum(part.gain**2, axis=1)
    redundant = np.zeros(n, dtype=bool)
    redundant[measured] = np.linalg.norm(part.balances, axis=0) > NOTHING * np.linalg.norm(rows[:, measured], axis=0)
    whole = np.full((n, n), np.nan)
    inner = covariance[np.ix_(measured, measured)] - part.gain @ part.gain.T
    whole[np.ix_(measured, measured)] = inner
    determinable = measured.copy()
    if not measured.all():
        determinable[~measured] = follow(rows, measured, estimates, inner, whole)
    return Solved(
        estimates, adjustments, shares, whole, redundant, determinable, float(part.distances @ part.distances), len(part.distances),
    )


def follow(rows: Array, measured: Flags, estimates: Array, inner: Array, whole: Array) -> Flags:
    """Fill in the unmeasured streams that follow from the measured; return which do. The others stay NaN."""
    hidden = rows[:, ~measured]
    _, _, vt, rank = singular(hidden)
    free = vt[rank:].T
    known = np.linalg.norm(free, axis=1) < np.sqrt(NOTHING) if free.size else np.ones(hidden.shape[1], dtype=bool)
    law = -np.linalg.pinv(hidden, rcond=NOTHING) @ rows[:, measured]
    places, seen = np.flatnonzero(~measured)[known], np.flatnonzero(measured)
    law = law[known]
    estimates[places] = law @ estimates[measured]
    whole[np.ix_(places, places)] = law @ inner @ law.T
    whole[np.ix_(places, seen)] = law @ inner
    whole[np.ix_(seen, places)] = (law @ inner).T
    return known
