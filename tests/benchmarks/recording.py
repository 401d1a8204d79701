"""Recording a step against bare inserts of the same rows under the same lock and durability.

Each round captures the statements of one act and rolls it back, then commits exactly those statements bare (timed), then
records the next act for real (timed). So both sides write the same number of rows to tables of the same size.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from django.db import connection, transaction

from lots.record import milling
from lots.record.acts import Act, locked_head
from lots.record.lines import Weight

LOADS_A_RUN = 4
Statements = list[tuple[str, list[Any]]]


@contextmanager
def captured(kept: Statements) -> Any:
    """Keep every statement that writes."""
    real = connection.execute_wrapper

    def keep(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.lstrip().upper().startswith(("INSERT", "UPDATE", "DELETE")):
            kept.append((sql, [list(p) for p in params] if many else [list(params or ())]))
        return execute(sql, params, many, context)

    with real(keep):
        yield


def capture(act: Callable[[], Any]) -> Statements:
    """Return what an act writes, and leave nothing of it."""
    kept: Statements = []
    with transaction.atomic():
        with captured(kept):
            act()
        transaction.set_rollback(True)  # nothing of it stays
    return kept


def bare(statements: Statements) -> float:
    """Write captured rows with nothing around them but the lock and the commit; return the seconds."""
    start = time.perf_counter()
    with transaction.atomic():
        locked_head()
        with connection.cursor() as cursor:
            for sql, rows in statements:
                cursor.executemany(sql, rows)
    return time.perf_counter() - start


def timed(act: Callable[[], Any]) -> float:
    """Record for real; return the seconds."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def acts(leaf: str) -> Callable[[], list[Callable[[], Any]]]:
    """Return a maker of one load and one tub on a pair."""
    weight = Weight(880_000, "S3")

    def pair_of_acts() -> list[Callable[[], Any]]:
        load, tub = Act("A"), Act("A")
        return [
            lambda: milling.load(load, pair="SP1", lot=leaf, charge=weight, job="bench"),
            lambda: milling.tub(tub, pair="SP1", powder=Weight(886_000, "S3"), ground_h=Decimal(22)),
        ]

    return pair_of_acts


def measure(leaf: str, rounds: int) -> tuple[list[float], list[float]]:
    """Return seconds of bare inserts and of recording, pair by pair."""
    floor, real = [], []
    make = acts(leaf)
    for number in range(rounds):
        for bare_act, real_act in zip(make(), make(), strict=True):
            statements = capture(bare_act)
            floor.append(bare(statements))
            real.append(timed(real_act))
        if number % LOADS_A_RUN == LOADS_A_RUN - 1:
            milling.close(Act("A", reason="a bench run need not add up"), pair="SP1", left_over=Weight(0))
        if number == 0:
            floor, real = [], []  # the first round warms caches
    return floor, real
