"""The branching number of a mill's rework: above 1, every pack descends from nearly everything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from lots.genealogy.graph import GenealogyError

#: From here on the history of a pack grows fast: in a simulated mill the steps behind one doubled between 0.6 and 0.8.
#: The maker's own setting overrides it.
WARN_FROM = 0.8


class Spread(StrEnum):
    """What the branching number says about a later recall."""

    CONTAINED = "contained"
    NEAR_LIMIT = "near the limit"
    WITHOUT_END = "without end"
    CANNOT = "cannot be judged"


@dataclass(frozen=True, slots=True)
class Rework:
    """Rework of a period: sieve passes, oversize lots they gave, later runs these went into, and what follows."""

    sieve_pass_count: int
    oversize_lot_count: int
    later_run_count: int
    branching: float | None
    spread: Spread


def branching(sieve_pass_count: int, later_runs: Sequence[int], warn_from: float = WARN_FROM) -> Rework:
    """Branching number R = (oversize lots per sieve pass) × (later runs that each oversize lot is split into).

    ``later_runs`` has one number for each oversize lot of the period: into how many later runs it was put, 0 for one
    that was not milled again. Count a period whose oversize has been used or written off: what still waits on the shelf
    makes R too small. R is None where nothing was sieved. It is the mean number of later runs that one pass feeds; at
    R >= 1 the line of descent never dies out (branching process), so a recall can no longer be contained.
    Raises GenealogyError for a negative count.
    """
    if sieve_pass_count < 0 or min(later_runs, default=0) < 0:
        raise GenealogyError("Passes over the sieve and later runs are counted from zero up. Count them again.")
    number = sum(later_runs) / sieve_pass_count if sieve_pass_count else None
    return Rework(sieve_pass_count, len(later_runs), sum(later_runs), number, _spread(number, warn_from))


def _spread(number: float | None, warn_from: float) -> Spread:
    if number is None:
        return Spread.CANNOT
    if number >= 1:
        return Spread.WITHOUT_END
    return Spread.NEAR_LIMIT if number >= warn_from else Spread.CONTAINED
