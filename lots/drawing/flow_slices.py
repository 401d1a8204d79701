"""Slices, stations and the plan of a flow drawing: what is drawn, how wide and in which stroke, before it has a place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from lots.trade.weighing import Verdict

#: A slice thinner than this is drawn this wide and marked with an asterisk (drawing units).
THIN = 2.5
#: An empty stub at least this wide is drawn with two dashed edges, else with one dashed line (drawing units).
HOLLOW = 5.0


class Stroke(StrEnum):
    """How a slice is drawn; the value is the class (or classes) of the stylesheet."""

    RIBBON = "flow"
    HATCHED = "hat"
    SOLID = "loss"
    USUAL = "usual"
    BEYOND = "miss"
    UNJUDGED = "edge out"


@dataclass(frozen=True, slots=True)
class Slice:
    """One stream as drawn: its stroke, true width and words (``strong`` bold, ``plain`` below), mass in mg dry without sign."""

    stroke: Stroke
    mass_mg: float
    true_px: float
    strong: str
    plain: tuple[str, ...]
    verdict: Verdict | None = None

    @property
    def thin(self) -> bool:
        return self.true_px < THIN

    @property
    def drawn_px(self) -> float:
        return max(self.true_px, THIN)

    @property
    def dashed(self) -> bool:
        return self.stroke in {Stroke.USUAL, Stroke.BEYOND, Stroke.UNJUDGED}

    @property
    def hollow(self) -> bool:
        return self.dashed and self.true_px >= HOLLOW


@dataclass(frozen=True, slots=True)
class Station:
    """One stage as drawn: ``mains`` run on, ``leaving`` turn away (lowest slice first), ``entering`` is what is too much;
    ``stock`` joins between the stage before and this bar, ``waiting`` leaves between this bar and the next."""

    name: str
    note: str
    input_px: float
    mains: tuple[Slice, ...]
    leaving: tuple[Slice, ...]
    entering: tuple[Slice, ...]
    stock: Slice | None = None
    waiting: Slice | None = None

    @property
    def main_px(self) -> float:
        return sum(s.true_px for s in self.mains)

    @property
    def entering_px(self) -> float:
        return sum(s.true_px for s in self.entering)

    @property
    def out_px(self) -> float:
        return self.main_px + sum(s.true_px for s in self.leaving)


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole drawing: stations in order, what came in before the first, the scale, and whether anything is too thin."""

    stations: tuple[Station, ...]
    source: Slice | None
    px_per_mg: float
    decimals: int

    @property
    def any_thin(self) -> bool:
        return any(s.thin and s.mass_mg > 0 for s in self.slices())

    def slices(self) -> Iterable[Slice]:
        """Every slice of the drawing but the first input, from left to right."""
        for station in self.stations:
            between = (s for s in (station.stock, station.waiting) if s)
            yield from (*station.entering, *station.mains, *station.leaving, *between)
