"""How far one raw lot spreads: how many finished lots hold it, how many raw lots one finished lot holds, and how much a recall would take.

Counts after Dupuy, Botta-Genoulaz and Guinet, J. Food Eng. 70 (2005) 333 (definitions from memory); mass recalled after Dabbene
and Gay, Comput. Electron. Agric. 75 (2011) 139, who hold that counts alone are indirect.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from lots.genealogy.graph import GenealogyError


@dataclass(frozen=True, slots=True)
class Dispersion:
    """``down_count`` finished lots for each raw lot, ``up_count`` raw lots for each finished lot, both by name; ``recalled_mg`` the
    finished mass that holds each raw lot."""

    down_count: Mapping[str, int]
    up_count: Mapping[str, int]
    recalled_mg: Mapping[str, int]

    @property
    def total_count(self) -> int:
        """Sum of all downward and upward counts: twice the number of pairs that a path joins."""
        return sum(self.down_count.values()) + sum(self.up_count.values())

    @property
    def worst_mg(self) -> int:
        """The most finished mass that one raw lot takes along, in mg."""
        return max(self.recalled_mg.values(), default=0)

    @property
    def mean_mg(self) -> float:
        """The finished mass that a raw lot takes along on average, each with equal odds, in mg."""
        return math.fsum(self.recalled_mg.values()) / len(self.recalled_mg) if self.recalled_mg else 0.0


def dispersion(held: Mapping[str, Iterable[str]], finished_mg: Mapping[str, int]) -> Dispersion:
    """From the raw lots that each finished lot holds, and the mass of each finished lot in mg.

    A raw lot counts however small its share: a recall asks for presence, not for mass. Raises GenealogyError for a finished lot
    without a mass, or of a mass below nothing.
    """
    down: defaultdict[str, int] = defaultdict(int)
    recalled: defaultdict[str, int] = defaultdict(int)
    up = {}
    for finished, raw in held.items():
        mass = finished_mg.get(finished)
        if mass is None or mass < 0:
            raise GenealogyError(f"Finished lot {finished} has no mass that could be recalled. Enter it first.")
        each = set(raw)
        up[finished] = len(each)
        for lot in each:
            down[lot] += 1
            recalled[lot] += mass
    return Dispersion(MappingProxyType(dict(down)), MappingProxyType(up), MappingProxyType(dict(recalled)))


def mean_sources(run_mg: int, lot_mg: int) -> float:
    """Raw lots in one run on average when runs of ``run_mg`` are drawn first in, first out from lots of ``lot_mg``: 1 + (Q - g)/B.

    g is the greatest common divisor of both, in mg. Raises GenealogyError for a mass that is not above nothing.
    """
    return 1 + (run_mg - _common(run_mg, lot_mg)) / lot_mg


def mean_runs_touched(run_mg: int, lot_mg: int) -> float:
    """Runs that one bad raw lot takes along on average, 1 + (B - g)/Q, masses in mg. Raises GenealogyError as above."""
    return 1 + (lot_mg - _common(run_mg, lot_mg)) / run_mg


def _common(run_mg: int, lot_mg: int) -> int:
    if run_mg <= 0 or lot_mg <= 0:
        raise GenealogyError("Runs and lots have a mass above nothing.")
    return math.gcd(run_mg, lot_mg)
