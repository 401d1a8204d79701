"""Organic tea never above what its certified leaf can have given.

What is claimed as organic (went out, was downgraded, sampled, named as lost, used by the house, stands here) is held against
the certified leaf of the same period less what the stages usually lose, all on dry matter. Beyond a tolerance (twice the
scatter of the usual losses and of the moisture of fresh leaf) it is an alarm: leaf of another state stands under that word, or
a weighing is wrong. Aim: Delegated Regulation (EU) 2021/771, recital 1, plausibility of volumes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from lots.balance.period import Column, Sheet
from lots.trade.weighing import Expectation

COVERAGE = 2.0
_CLAIMED = (Column.OUT, Column.DOWNGRADED, Column.SAMPLES, Column.LOST, Column.OWN_USE, Column.CLOSING)


@dataclass(frozen=True, slots=True)
class Certified:
    """Certified leaf, what its stages usually lose, what is claimed, and how far apart both may be by chance (mg dry)."""

    certified_mg: float
    usual_loss_mg: float
    claimed_mg: float
    tolerance_mg: float

    @property
    def could_be_mg(self) -> float:
        """What the certified leaf can have given."""
        return self.certified_mg - self.usual_loss_mg

    @property
    def over_mg(self) -> float:
        """How much more is claimed; below nothing where less is."""
        return self.claimed_mg - self.could_be_mg

    @property
    def is_over(self) -> bool:
        """Whether that is an alarm."""
        return self.over_mg > self.tolerance_mg


def certified(
    sheets: Iterable[Sheet], drawn_mg: Mapping[str, Sequence[float]], usual: Mapping[str, Expectation], u_received_mg: Iterable[float]
) -> Certified:
    """Return the check from the organic balances of a period.

    ``drawn_mg`` are the dry inputs of each closed step by stage, ``usual`` what each stage loses, ``u_received_mg`` the standard
    uncertainty of the dry mass of each delivery (mg).
    """
    organic = [s for s in sheets if s.state == "organic"]
    came_mg = sum(s.dry_mg(Column.OPENING) + s.dry_mg(Column.RECEIVED) for s in organic)
    claimed_mg = sum(s.dry_mg(column) for s in organic for column in _CLAIMED)
    lost_mg = sum(usual[stage].loss_frac * sum(inputs) for stage, inputs in drawn_mg.items())
    scatter = [usual[stage].sd_frac * each for stage, inputs in drawn_mg.items() for each in inputs]
    return Certified(came_mg, lost_mg, claimed_mg, COVERAGE * math.hypot(*scatter, *u_received_mg))
