"""Frozen records of weighing and balance: what `read` hands to `balance`, and what `balance` hands back."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Side(StrEnum):
    """Which side of a balance a line stands on."""

    IN = "in"
    OUT = "out"
    LOST = "lost"


class Verdict(StrEnum):
    """The four words of a balance."""

    ADDS_UP = "adds up"
    LOOK = "look"
    STOP = "stop"
    CANNOT = "cannot be judged"


@dataclass(frozen=True, slots=True)
class ScaleData:
    """A scale as its plate says: masses in mg; ``accuracy_class`` is I, II, III or IIII (OIML R 76)."""

    code: str
    division_mg: int
    interval_mg: int
    u_repeat_mg: float
    accuracy_class: str
    capacity_mg: int


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line of a balance: ``mass_mg`` of material in ``reading_count`` readings on one scale.

    ``moisture_frac`` is kg water per kg wet (None: not known). Lines with equal non-empty ``sample`` share one moisture
    determination and so its error; lines on one scale share the scale's permissible error. A negative mass takes away.
    """

    side: Side
    label: str
    mass_mg: int
    reading_count: int
    moisture_frac: float | None
    u_moisture_frac: float | None
    sample: str
    scale: ScaleData | None
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a stage usually loses: ``loss_frac`` of its dry input with scatter ``sd_frac``, learned from ``lot_count`` lots."""

    stage: str
    loss_frac: float
    sd_frac: float
    lot_count: int = 0


@dataclass(frozen=True, slots=True)
class Balance:
    """A dry-matter balance. All masses in mg dry; ``d_mg`` = in - out - lost, ``e_mg`` what is usual, ``u_mg`` the standard
    uncertainty from weighing and moisture, ``scatter_mg`` the usual scatter of the stage; ``z`` None where not judged."""

    input_mg: float
    output_mg: float
    lost_mg: float
    d_mg: float
    u_mg: float
    e_mg: float
    scatter_mg: float
    z: float | None
    verdict: Verdict
    why: str = ""
