"""A large part in which everything was measured, by one sparse factorisation of A V A'."""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from lots.balance.least_squares import Array, Solved

#: The ordering that suits a ledger's graph; scipy's own default fills in far more.
ORDERING = "MMD_AT_PLUS_A"
#: A pivot below this share of its own diagonal says that a balance follows from the others.
DEPENDENT = 1e-10
COLUMNS_AT_ONCE = 256


def factorise(balances: sparse.csr_array, variances: Array) -> tuple[SuperLU, Array] | None:
    """Factorise D A V A' D, D bringing its diagonal to 1; return it and D, or None where balances depend on each other."""
    scatter = balances @ sparse.diags_array(variances) @ balances.T
    diagonal = scatter.diagonal()
    if not len(diagonal) or np.any(diagonal <= 0):
        return None
    scale = 1 / np.sqrt(diagonal)
    even = sparse.csc_array(sparse.diags_array(scale) @ scatter @ sparse.diags_array(scale))
    try:
        factors = splu(even, permc_spec=ORDERING, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError:  # exactly singular
        return None
    return (factors, scale) if np.min(np.abs(factors.U.diagonal())) > DEPENDENT else None


def estimate_large(balances: sparse.csr_array, values: Array, variances: Array) -> tuple[Array, float] | None:
    """Return estimates and the global statistic, or None where balances depend on each other."""
    found = factorise(balances, variances)
    if found is None:
        return None
    factors, scale = found
    residuals = balances @ values
    multipliers = scale * factors.solve(scale * residuals)
    return values - variances * (balances.T @ multipliers), float(residuals @ multipliers)


def solve_large(balances: sparse.csr_array, values: Array, variances: Array) -> Solved | None:
    """Solve a part of many balances with its variances and covariance, or None where balances depend on each other."""
    found = factorise(balances, variances)
    if found is None:
        return None
    factors, scale = found
    residuals = balances @ values
    multipliers = scale * factors.solve(scale * residuals)
    adjustments = variances * (balances.T @ multipliers)
    rows, n = balances.shape
    weighted = sparse.csc_array(sparse.diags_array(scale) @ balances @ sparse.diags_array(variances))
    spread = np.empty((n, n))
    for start in range(0, n, COLUMNS_AT_ONCE):
        some = weighted[:, start : start + COLUMNS_AT_ONCE].toarray()
        spread[:, start : start + COLUMNS_AT_ONCE] = weighted.T @ factors.solve(some)
    touched = np.asarray((balances != 0).sum(axis=0)).ravel() > 0
    return Solved(
        values - adjustments, adjustments, spread.diagonal().copy(), np.diag(variances) - spread, touched, np.ones(n, dtype=bool),
        float(residuals @ multipliers), rows,
    )
