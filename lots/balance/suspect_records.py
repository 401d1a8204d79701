"""The records between the book and the search for slips: balances as nodes, entries of scales as readings that touch them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from lots.balance.closure import LOOK_BEYOND
from lots.balance.slips import SlipKind


@dataclass(frozen=True, slots=True)
class Touch:
    """A balance that a reading enters: ``dry_frac`` is the change of D for each mg read, ``input_frac`` that of the input."""

    node: int
    dry_frac: float
    input_frac: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One figure that was typed: ``key`` names it in the book, ``division_mg`` is that of its scale, ``touches`` are the balances
    that it enters."""

    key: str
    lot: str
    role: str
    mass_mg: int
    division_mg: int
    touches: tuple[Touch, ...]


@dataclass(frozen=True, slots=True)
class Node:
    """One balance, in mg dry: D, its uncertainty, its input, and what its stage usually loses as shares of the input."""

    step: int
    stage: str
    machine: str
    d_mg: float
    u_mg: float
    input_mg: float
    loss_frac: float
    sd_frac: float
    roles: frozenset[str] = frozenset()

    def moved(self, d_mg: float, input_mg: float) -> Node:
        """The balance after its difference and its input changed by so many mg dry."""
        return replace(self, d_mg=self.d_mg + d_mg, input_mg=self.input_mg + input_mg)

    def z_if(self, d_mg: float, input_mg: float) -> float:
        """The distance that it would have after its difference and its input changed by so many mg dry."""
        put_in = self.input_mg + input_mg
        return (self.d_mg + d_mg - self.loss_frac * put_in) / math.hypot(self.u_mg, self.sd_frac * put_in)

    @property
    def residual_mg(self) -> float:
        """How far D lies from what is usual, in mg dry."""
        return self.d_mg - self.loss_frac * self.input_mg

    @property
    def spread_mg(self) -> float:
        """The scatter of that distance, in mg dry."""
        return math.hypot(self.u_mg, self.sd_frac * self.input_mg)

    @property
    def z(self) -> float:
        """The distance in its own scatter."""
        return self.residual_mg / self.spread_mg


@dataclass(frozen=True, slots=True)
class Rework:
    """Oversize that stands on the shelf and may have been poured back: mg as read, and its dry share."""

    lot: str
    mass_mg: int
    dry_frac: float


@dataclass(frozen=True, slots=True)
class UsualShare:
    """What a by-product usually is of its stage's dry input, and its scatter."""

    stage: str
    role: str
    share_frac: float
    sd_frac: float


@dataclass(frozen=True, slots=True)
class Book:
    """All that explanations are sought in. ``nodes`` in order of record; readings name them by position."""

    nodes: tuple[Node, ...]
    readings: tuple[Reading, ...]
    rework: tuple[Rework, ...] = ()
    usual_shares: tuple[UsualShare, ...] = ()
    tares_mg: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Explanation:
    """One slip that would explain: the entry (``key``, empty where none was made), the lot, what was read and what is proposed in mg
    (None where a figure was never typed), the mass in mg dry that the balances themselves ask for with its standard uncertainty,
    the balances that it touches by position with their z afterwards, and its chance among all candidates."""

    kind: SlipKind | None
    key: str
    lot: str
    read_mg: int | None
    proposed_mg: int | None
    estimate_mg: float
    u_estimate_mg: float
    closes: Mapping[int, float] = field(hash=False)
    weight_log: float = 0.0
    chance_frac: float = 0.0

    @property
    def closes_all(self) -> bool:
        """Whether every balance that it touches lies within the usual afterwards."""
        return all(abs(z) < LOOK_BEYOND for z in self.closes.values())


@dataclass(frozen=True, slots=True)
class Finding:
    """What is off (positions of balances), the likeliest explanations, the likeliest first, and whether the first is unique."""

    nodes: tuple[int, ...]
    explanations: tuple[Explanation, ...]
    unique: bool
