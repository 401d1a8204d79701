"""Frozen records of trace: the graph that `read` gathers, the shares that `genealogy` folds, the drawing's input."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lots.trade.weighing import Verdict


class Tier(StrEnum):
    """How a thing belongs to a trace."""

    CONTAINS = "contains"
    TOUCHED = "may have touched"
    EXCLUDED = "excluded"


@dataclass(frozen=True, slots=True)
class Link:
    """One derived edge: of the dry mass that went into ``step`` the share ``share_frac`` came from ``source``."""

    step: int
    source: int
    share_frac: float


@dataclass(frozen=True, slots=True)
class Use:
    """A span during which a piece of equipment held leaf: machine code, first and last step id of the use, the root step
    of the run, and the mass in mg that could have stayed behind (None: not known)."""

    equipment: str
    first_step: int
    last_step: int
    run: int
    left_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Clean:
    """A clean-down of one machine: the step that recorded it and whether the machine was opened."""

    equipment: str
    step: int
    opened: bool


@dataclass(frozen=True, slots=True)
class Contact:
    """Between run ``earlier`` and run ``later`` on ``equipment`` nothing was cleaned: at most ``bound_mg`` may have gone over.
    ``cleaned_by`` is the step of the clean-down that excludes the contact (None: it stands)."""

    equipment: str
    earlier: int
    later: int
    bound_mg: int | None
    cleaned_by: int | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """One box of the lineage drawing: ``column`` counts from 0 (field plot) to 7 (gone to); ``lines`` are its words."""

    key: str
    column: int
    title: str
    lines: tuple[str, ...]
    tier: Tier
    verdict: Verdict | None = None
    href: str = ""
    scanned: bool = False


@dataclass(frozen=True, slots=True)
class Arrow:
    """One arrow between boxes: words above (kilograms) and below (share), and its tier."""

    source: str
    target: str
    tier: Tier
    above: str = ""
    below: str = ""


@dataclass(frozen=True, slots=True)
class Ending:
    """Words after the last box of an excluded or touching row: what stops it, or how much may have gone over."""

    key: str
    strong: str
    plain: str
    barred: bool


@dataclass(frozen=True, slots=True)
class LineageSheet:
    """Everything that the lineage drawing shows; ``columns`` are the stage names, empty columns kept."""

    columns: tuple[str, ...]
    boxes: tuple[Box, ...]
    arrows: tuple[Arrow, ...]
    endings: tuple[Ending, ...] = ()
    summary: str = ""
