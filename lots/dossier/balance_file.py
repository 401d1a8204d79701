"""Every balance of the book as rows for any other program: one line for each step and each closed run.

Here masses stand in milligrams and nothing is put into words, so that another program can work them out again.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from math import isfinite
from typing import Protocol

from lots.dossier.tables import neutral
from lots.read.balances import BalanceNode
from lots.trade.weighing import Side, Weighing

COLUMNS = (
    "step", "stage", "name", "happened_at", "machine", "job", "lots_in", "lots_out", "inputs", "outputs", "losses", "input_mg", "output_mg",
    "lost_mg", "d_mg", "u_mg", "e_mg", "z", "verdict",
)


class Sink(Protocol):
    """What takes text: a file, or a command's output."""

    def write(self, text: str, /) -> object:
        """Take some text."""


def write_balances(nodes: Iterable[BalanceNode], out: Sink) -> int:
    """Write the balances as CSV, and return how many there were."""
    writer, rows = csv.writer(out), [row_of(node) for node in nodes]
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    return len(rows)


def row_of(node: BalanceNode) -> list[str]:
    """Return one balance as text."""
    each = node.balance
    figures = (each.input_mg, each.output_mg, each.lost_mg, each.d_mg, each.u_mg, each.e_mg)
    return [
        str(node.step), node.stage, neutral(node.name), node.happened_at.isoformat(), neutral(node.machine), neutral(node.job),
        names(node.lots_in), names(node.lots_out), lines(node.lines, Side.IN), lines(node.lines, Side.OUT), lines(node.lines, Side.LOST),
        *(figure(mass) for mass in figures), "" if each.z is None else f"{each.z:.6f}", str(each.verdict),
    ]


def names(lots: Iterable[str]) -> str:
    """Return lots with spaces between."""
    return neutral(" ".join(lots))


def lines(weighings: Iterable[Weighing], side: Side) -> str:
    """Return the lines of one side: ``label:mass_mg@moisture``, the moisture missing where nobody knows it."""
    told = (
        f"{line.label}:{line.mass_mg}@{'' if line.moisture_frac is None else f'{line.moisture_frac:g}'}"
        for line in weighings if line.side is side
    )
    return neutral(" ".join(told))


def figure(mass_mg: float) -> str:
    """Return a mass in mg; nothing where it is not known."""
    return f"{mass_mg:.3f}" if isfinite(mass_mg) else ""
