"""Single sampling by attributes, normal inspection: how many to look at in a lot of packs, and how many faults it may show.

Code letters and the master table of ISO 2859-1 (the same as MIL-STD-105E), in its own form: for each acceptance quality
limit one letter has the acceptance number 0; letter by letter below it stand an arrow up, an arrow down, then 1, 2, 3, 5, 7, 10,
14, 21; beyond them arrows up, before them arrows down. An arrow takes the sample size of the letter to which it leads.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from types import MappingProxyType

LETTERS = "ABCDEFGHJKLMNPQR"
SAMPLE_COUNTS = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
#: The largest lot of each row of the table of code letters; beyond the last there is no bound.
LOT_MOST = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
LEVELS = MappingProxyType({
    "I": "AABCCDEFGHJKLMN", "II": "ABCDEFGHJKLMNPQ", "III": "BCDEFGHJKLMNPQR",
})
#: The letter with acceptance number 0, by acceptance quality limit in percent.
ZERO_LETTER = MappingProxyType({
    "0.065": "L", "0.10": "K", "0.15": "J", "0.25": "H", "0.40": "G", "0.65": "F", "1.0": "E", "1.5": "D", "2.5": "C", "4.0": "B",
    "6.5": "A",
})
UP, DOWN = -1, -2
DIAGONAL = (0, UP, DOWN, 1, 2, 3, 5, 7, 10, 14, 21)


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """Look at ``sample_count`` packs; the lot passes with at most ``accept_count`` faulty ones."""

    letter: str
    sample_count: int
    accept_count: int

    @property
    def reject_count(self) -> int:
        """So many faulty packs fail the lot."""
        return self.accept_count + 1


def code_letter(lot_count: int, level: str = "II") -> str:
    """Return the code letter of a lot. Raises ValueError for a lot below two or a level that is not I, II or III."""
    if lot_count < 2 or level not in LEVELS:
        raise ValueError(f"no code letter for {lot_count} packs at level {level}")
    return LEVELS[level][bisect_left(LOT_MOST, lot_count)]


def cell(letter: str, aql: str) -> int:
    """Return a cell of the master table: an acceptance number, or an arrow."""
    below = LETTERS.index(letter) - LETTERS.index(ZERO_LETTER[aql])
    if below < 0:
        return DOWN
    return DIAGONAL[below] if below < len(DIAGONAL) else UP


def plan(lot_count: int, aql: str, level: str = "II") -> SamplingPlan:
    """Return the plan of a lot. Where the sample would be the whole lot, all packs are looked at.

    Raises ValueError for an acceptance quality limit that the table does not have.
    """
    if aql not in ZERO_LETTER:
        raise ValueError(f"no column for an acceptance quality limit of {aql}")
    letter = code_letter(lot_count, level)
    while (found := cell(letter, aql)) in {UP, DOWN}:
        letter = LETTERS[LETTERS.index(letter) + (1 if found == DOWN else -1)]
    return SamplingPlan(letter, min(SAMPLE_COUNTS[LETTERS.index(letter)], lot_count), found)


def accepted_frac(lot_count: int, faulty_count: int, chosen: SamplingPlan) -> float:
    """Return the share of samples that pass a lot with so many faulty packs (hypergeometric, drawn without putting back)."""
    whole = math.comb(lot_count, chosen.sample_count)
    good = lot_count - faulty_count
    ways = (
        math.comb(faulty_count, k) * math.comb(good, chosen.sample_count - k)
        for k in range(min(chosen.accept_count, faulty_count, chosen.sample_count) + 1)
    )
    return sum(ways) / whole
