"""``python -m tests.benchmarks.arithmetic``: reconciling a year's book against a bare sparse solve of the same system, and explaining
one fault at a hundred readings against one reading. No database; exit 1 beyond a limit."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from lots.balance.candidates import candidates
from lots.balance.large_parts import ORDERING
from lots.balance.reconcile import reconcile
from lots.balance.suspect_records import Book
from tests.balance.mills import Mill

ROUNDS = 7
RECONCILE_LIMIT, EXPLAIN_LIMIT, GROWTH_LIMIT = 1.5, 150.0, 1.5
#: Balances for each weighing: 60,000 to 100,000.
NODES_A_STREAM = 0.6


def book(stream_count: int, seed: int = 7) -> tuple[Any, np.ndarray, np.ndarray]:
    """A ledger of many jobs: each balance takes what the one before it gave, and gives by-products of its own."""
    dice = np.random.default_rng(seed)
    node_count = int(stream_count * NODES_A_STREAM)
    rows = np.repeat(np.arange(node_count), 2)
    chain = np.column_stack([np.arange(node_count), np.arange(node_count) + 1]).ravel()
    signs = np.tile([1.0, -1.0], node_count)
    extra = stream_count - node_count - 1
    at = dice.integers(0, node_count, extra)
    balances = sparse.csr_array(
        (np.concatenate([signs, -np.ones(extra)]), (np.concatenate([rows, at]), np.concatenate([chain, np.arange(extra) + node_count + 1]))),
        shape=(node_count, stream_count),
    )
    values = dice.uniform(1, 50, stream_count)
    return balances, values, (0.01 * values) ** 2 + 1e-4


def bare(balances: Any, values: np.ndarray, variances: np.ndarray) -> float:
    """The same system solved with nothing around it."""
    weighted = balances @ sparse.diags_array(variances) @ balances.T
    factors = splu(sparse.csc_array(weighted), permc_spec=ORDERING, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    residuals = balances @ values
    multipliers = factors.solve(residuals)
    return float((values - variances * (balances.T @ multipliers))[0] + residuals @ multipliers)


def in_turn(floor: Callable[[], Any], real: Callable[[], Any], rounds: int = ROUNDS) -> tuple[float, float]:
    """Medians of both sides in seconds, one after the other."""
    pairs = []
    for _ in range(rounds):
        start = time.perf_counter()
        floor()
        middle = time.perf_counter()
        real()
        pairs.append((middle - start, time.perf_counter() - middle))
    return statistics.median(f for f, _ in pairs), statistics.median(r for _, r in pairs)


def hundred_readings() -> tuple[Book, Book, int]:
    """A milling run of fifty charges and fifty tubs, one of them mistyped; the same with a single reading; the run's position."""
    mill = Mill(3, lot_count=1, pair_count=1, charge_count=50)
    line = mill.some_line(lambda x: x.role == "tub_powder")
    made = mill.book({line.key: line.true_mg * 10})
    node = line.touches[0].node
    near = tuple(r for r in made.readings if any(t.node == node for t in r.touches))
    assert len(near) == 100
    return replace(made, readings=near), replace(made, readings=near[:1]), node


def main() -> int:
    beyond = 0
    ratios = {}
    print(f"{'':44}{'floor':>11}{'real':>11}{'ratio':>8}{'limit':>8}")
    for count in (1_000, 100_000):
        system = book(count)
        asked = {"incidence": system[0], "measured": system[1], "covariance": system[2]}
        floor, real = in_turn(lambda s=system: bare(*s), lambda a=asked: reconcile(**a, with_tests=False))
        ratios[count] = real
        beyond += count > 1_000 and real / floor > RECONCILE_LIMIT
        tell(f"estimates and global test, {count:,} weighings", floor, real, RECONCILE_LIMIT if count > 1_000 else None)
    growth = ratios[100_000] / ratios[1_000] / 100
    print(f"{'growth from 1,000 to 100,000, linear is 1':44}{'':22}{growth:8.2f}{GROWTH_LIMIT:8.1f}")
    part = book(2_000)
    start = time.perf_counter()
    reconcile(incidence=part[0], measured=part[1], covariance=part[2])
    print(f"{'variances and tests of a part of 2,000':44}{'':11}{(time.perf_counter() - start) * 1000:9.1f}ms")
    whole, single, node = hundred_readings()
    floor, real = in_turn(lambda: candidates(single, single.nodes, node), lambda: candidates(whole, whole.nodes, node), 15)
    beyond += real / floor > EXPLAIN_LIMIT
    tell("one fault at 100 readings / at one reading", floor, real, EXPLAIN_LIMIT)
    return 1 if beyond or growth > GROWTH_LIMIT else 0


def tell(name: str, floor: float, real: float, limit: float | None) -> None:
    """Print one line of the table."""
    words = f"{limit:8.1f}" if limit else ""
    print(f"{name:44}{floor * 1000:9.3f}ms{real * 1000:9.3f}ms{real / floor:8.2f}{words}{'  beyond' if limit and real / floor > limit else ''}")


if __name__ == "__main__":
    sys.exit(main())
