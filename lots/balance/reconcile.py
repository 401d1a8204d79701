"""Reconciliation: the smallest changes, weighed by how well each figure is known, after which every balance closes.

The book is cut into its connected parts. Small parts, and parts with unmeasured or exact streams, are solved densely;
a large part by one sparse factorisation. Both give the same. Formulas: Narasimhan and Jordache, Data Reconciliation and
Gross Error Detection (2000), chapters 3 and 7; the same in VDI 2048 part 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import sparse, stats
from scipy.sparse.csgraph import connected_components

from lots.balance.elimination import Elimination, Hypothesis, eliminate
from lots.balance.large_parts import estimate_large, solve_large
from lots.balance.least_squares import Array, Flags, Solved, solve_part

__all__ = ["Elimination", "Hypothesis", "Reconciliation", "eliminate_serially", "reconcile"]

Places = NDArray[np.int_]
#: Dense, or any sparse matrix of scipy.
Matrix: TypeAlias = ArrayLike | sparse.sparray
#: Parts with more balances than this are factorised sparsely where they can be.
DENSE_ROWS = 300


@dataclass(frozen=True, slots=True, eq=False)
class Reconciliation:
    """Reconciled streams in the unit of the measurements, NaN where a figure does not exist.

    ``adjustments`` are measured minus estimate. ``global_statistic`` is chi-square with ``degrees_of_freedom``;
    ``p_value`` the chance of as much. ``measurement_statistics`` and ``nodal_statistics`` are absolute standard normal
    distances (NaN for what nothing checks). ``redundant`` measurements are checked by others; ``determinable`` streams
    have an estimate. ``covariance_of_estimates`` is None unless asked for.
    """

    estimates: Array
    adjustments: Array
    covariance_of_estimates: Array | None
    global_statistic: float
    degrees_of_freedom: int
    p_value: float
    measurement_statistics: Array
    nodal_statistics: Array
    redundant: Flags
    determinable: Flags


@dataclass(frozen=True, slots=True, eq=False)
class _Book:
    """What was given, checked and brought to one form."""

    balances: sparse.csr_array
    values: Array
    covariance: sparse.csr_array
    variances: Array
    measured: Flags

    def part(self, rows: Places, columns: Places) -> tuple[Array, Array, Array, Flags]:
        """The balances, values, covariance and flags of some rows and columns, dense."""
        inside = self.covariance[columns][:, columns].toarray()
        return self.balances[rows][:, columns].toarray(), self.values[columns], inside, self.measured[columns]


def reconcile(
    *, incidence: Matrix, measured: ArrayLike, covariance: Matrix, unmeasured: Sequence[int] = (),
    with_covariance: bool = False, with_tests: bool = True,
) -> Reconciliation:
    """Reconcile measured streams with linear balances that sum to nothing.

    ``incidence``: balances × streams, dense or scipy sparse, any coefficients. ``measured``: one value a stream, NaN where
    unmeasured; ``unmeasured`` names more. ``covariance``: variances as a vector, or the full matrix, dense or sparse, in the
    square of the unit; 0 means exact. On large books the whole covariance is only made ``with_covariance``, and the tests
    and what is redundant or determinable beyond the obvious only ``with_tests``. Raises ValueError for shapes that do not
    agree, values that are not finite, a variance below 0, and exact values that contradict each other.
    """
    book = _checked(incidence, measured, covariance, unmeasured)
    if not with_tests and not with_covariance and _is_plain(book):
        quick = estimate_large(book.balances, book.values, book.variances)
        if quick is not None:
            return _quick(book, *quick)
    return _by_parts(book, with_covariance=with_covariance)


def _checked(incidence: Matrix, measured: ArrayLike, covariance: Matrix, unmeasured: Sequence[int]) -> _Book:
    balances = sparse.csr_array(incidence, dtype=float)
    values = np.array(measured, dtype=float)
    n = balances.shape[1]
    if values.shape != (n,):
        raise ValueError(f"{values.shape[0]} values stand against {n} streams.")
    known = ~np.isnan(values)
    known[list(unmeasured)] = False
    matrix = _covariance(covariance, n, known)
    variances = matrix.diagonal()
    if not np.all(np.isfinite(balances.data)) or np.any(np.isinf(values)) or not np.all(np.isfinite(matrix.data)):
        raise ValueError("A coefficient, a value or a variance is not finite.")
    if np.any(variances[known] < 0):
        raise ValueError("A variance is below nothing.")
    return _Book(balances, np.where(known, values, 0.0), matrix, variances, known)


def _covariance(given: Matrix, n: int, known: Flags) -> sparse.csr_array:
    """The covariance of the measured streams; what belongs to unmeasured ones is put aside."""
    if not sparse.issparse(given):
        given = np.asarray(given, dtype=float)
        if given.shape not in {(n,), (n, n)}:
            raise ValueError(f"The covariance has shape {given.shape}; {n} variances or a square of them are needed.")
        if given.ndim == 1:
            return sparse.csr_array(sparse.diags_array(np.where(known, given, 0.0)))
        given = np.where(np.outer(known, known), given, 0.0)
    keep = sparse.csr_array(sparse.diags_array(known.astype(float)))
    return sparse.csr_array(keep @ sparse.csr_array(given, dtype=float) @ keep)


def _is_plain(book: _Book) -> bool:
    """Whether everything is measured, with scatter, independently: what one factorisation can take."""
    entries = book.covariance.count_nonzero()
    return bool(book.measured.all() and np.all(book.variances > 0) and entries == len(book.values))


def _quick(book: _Book, estimates: Array, statistic: float) -> Reconciliation:
    rows, n = book.balances.shape
    nothing = np.full(n, np.nan)
    touched = np.asarray((book.balances != 0).sum(axis=0)).ravel() > 0
    return Reconciliation(
        estimates, book.values - estimates, None, statistic, rows, float(stats.chi2.sf(statistic, rows)), nothing,
        np.full(rows, np.nan), touched, np.ones(n, dtype=bool),
    )


def _labels(book: _Book) -> tuple[Places, Places]:
    """The part that each balance and each stream belongs to: streams that vary together belong together."""
    pattern = sparse.block_array([[None, book.balances], [book.balances.T, book.covariance]], format="csr")
    _, labels = connected_components(pattern, directed=False)
    rows = book.balances.shape[0]
    return labels[:rows], labels[rows:]


def _groups(labels: Places) -> dict[int, Places]:
    order = np.argsort(labels, kind="stable")
    cuts = np.flatnonzero(np.diff(labels[order])) + 1
    return {int(labels[g[0]]): g for g in np.split(order, cuts) if len(g)}


def _by_parts(book: _Book, *, with_covariance: bool) -> Reconciliation:
    rows, n = book.balances.shape
    row_labels, column_labels = _labels(book)
    row_groups = _groups(row_labels)
    figures = np.full((3, n), np.nan)
    redundant, determinable = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    whole = np.zeros((n, n)) if with_covariance else None
    statistic, freedom = 0.0, 0
    for label, columns in _groups(column_labels).items():
        solved = _solve(book, row_groups.get(label, np.zeros(0, dtype=int)), columns)
        figures[:, columns] = solved.estimates, solved.adjustments, solved.variances_of_adjustments
        redundant[columns], determinable[columns] = solved.redundant, solved.determinable
        statistic, freedom = statistic + solved.statistic, freedom + solved.rank
        if whole is not None:
            whole[np.ix_(columns, columns)] = solved.covariance
    return Reconciliation(
        figures[0], figures[1], whole, statistic, freedom, float(stats.chi2.sf(statistic, freedom)) if freedom else 1.0,
        _distances(figures[1], figures[2], book.variances, redundant), nodal_statistics(book, rows), redundant, determinable,
    )


def _solve(book: _Book, rows: Places, columns: Places) -> Solved:
    if len(rows) > DENSE_ROWS:
        plain = _Book(book.balances[rows][:, columns], book.values[columns], book.covariance[columns][:, columns],
                      book.variances[columns], book.measured[columns])
        solved = solve_large(plain.balances, plain.values, plain.variances) if _is_plain(plain) else None
        if solved is not None:
            return solved
    return solve_part(*book.part(rows, columns))


def _distances(adjustments: Array, variances_of_adjustments: Array, variances: Array, redundant: Flags) -> Array:
    """|a| / √W, for what is redundant and has a scatter: nothing is divided by nothing."""
    checked = redundant & (variances_of_adjustments > 1e-12 * variances) & (variances > 0)
    answer = np.full(len(adjustments), np.nan)
    answer[checked] = np.abs(adjustments[checked]) / np.sqrt(variances_of_adjustments[checked])
    return answer


def nodal_statistics(book: _Book, rows: int) -> Array:
    """|r| / √(A V A') of each balance whose streams were all measured, NaN for the others."""
    hidden = np.asarray((book.balances[:, ~book.measured] != 0).sum(axis=1)).ravel() > 0
    spread = (book.balances @ book.covariance).multiply(book.balances).sum(axis=1)
    spread = np.asarray(spread).ravel()
    residuals = book.balances @ book.values
    answer = np.full(rows, np.nan)
    judged = ~hidden & (spread > 0)
    answer[judged] = np.abs(residuals[judged]) / np.sqrt(spread[judged])
    return answer


def eliminate_serially(
    *, incidence: Matrix, measured: ArrayLike, covariance: Matrix, significance: float = 0.05, unmeasured: Sequence[int] = ()
) -> Elimination:
    """Take out, one after another, the measurements that keep the book from closing, until it passes or nothing checks it.

    Arguments as in :func:`reconcile`; ``significance`` is that of the global test. Each step says what was tried, the
    suspects that cannot be told from each other as one group, and for every stream a bias and for every balance a leak
    side by side (generalised likelihood ratio, Narasimhan and Mah 1987). Dense: meant for one connected part.
    """
    book = _checked(incidence, measured, covariance, unmeasured)
    return eliminate(book.part(np.arange(book.balances.shape[0]), np.arange(len(book.values))), significance)
