"""What a season's flow drawing shows, before any place is given to it: slices with their words, width and stroke."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from math import isfinite

from lots.drawing.words import ENGLISH, NBSP, Words, decimals_for, figure, kilograms, share
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
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


_STROKES = {
    Branch.MAIN: Stroke.RIBBON, Branch.BY_PRODUCT: Stroke.HATCHED, Branch.DECLARED: Stroke.SOLID, Branch.SHELF: Stroke.RIBBON,
    Branch.IN_MILL: Stroke.RIBBON,
}
_LOWEST_FIRST = {
    Branch.SHELF: 0, Branch.IN_MILL: 1, Branch.BY_PRODUCT: 2, Branch.DECLARED: 3, Branch.UNEXPLAINED: 4, Branch.MAIN: 5,
}


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


def finite(mass_mg: float) -> float:
    """The mass where there is one; a sum that could not be formed counts as nothing drawn."""
    return mass_mg if isfinite(mass_mg) else 0.0


def shown(stream: Stream) -> bool:
    """Streams of 0 kg are left out, but for a difference with a verdict that somebody has to see."""
    if stream.branch is not Branch.UNEXPLAINED:
        return finite(stream.dry_mg) > 0
    return stream.verdict not in {None, Verdict.ADDS_UP} or finite(stream.dry_mg) != 0


def is_surplus(stream: Stream) -> bool:
    """Whether more came out than went in."""
    return stream.branch is Branch.UNEXPLAINED and finite(stream.dry_mg) < 0


def difference_name(stream: Stream, stage: str, words: Words) -> str:
    """What a difference is called: the caller's own label, else the drawing's words, by its sign."""
    if stream.label and not (is_surplus(stream) and stream.label in {Branch.UNEXPLAINED.value, words.not_found}):
        return stream.label
    return words.too_much.format(stage=stage) if is_surplus(stream) else words.not_found


@dataclass(frozen=True, slots=True)
class _Pen:
    px_per_mg: float
    decimals: int
    words: Words

    def kg(self, mass_mg: float) -> str:
        star = f"{NBSP}*" if 0 < mass_mg * self.px_per_mg < THIN else ""
        return kilograms(mass_mg, self._decimals(mass_mg)) + star

    def _decimals(self, mass_mg: float) -> int:
        """More decimals for a mass that would be written as nothing."""
        return next((d for d in range(self.decimals, 6) if abs(mass_mg) >= 0.5 * 10 ** (6 - d)), 6)

    def stream(self, stream: Stream, whole_mg: float) -> Slice:
        mass_mg = finite(stream.dry_mg)
        px = mass_mg * self.px_per_mg
        part = share(mass_mg, whole_mg) if px >= THIN else ""
        return Slice(_STROKES[stream.branch], mass_mg, px, stream.label, (", ".join(filter(None, (self.kg(mass_mg), part))),))

    def difference(self, stream: Stream, stage: str) -> Slice:
        mass_mg = abs(finite(stream.dry_mg))
        pattern = self.words.surplus if is_surplus(stream) else self.words.missing
        known = isfinite(stream.dry_mg)
        name = difference_name(stream, stage, self.words)
        strong = pattern.format(label=name, kg=self.kg(mass_mg)) if known else name
        loud = stream.verdict if stream.verdict is not Verdict.ADDS_UP else None
        return Slice(stroke_of(stream), mass_mg, mass_mg * self.px_per_mg, strong, self.below(stream), loud)

    def below(self, stream: Stream) -> tuple[str, ...]:
        """The second line of a difference: what is usual, or that it cannot be judged."""
        if stream.verdict is Verdict.CANNOT:
            return (self.words.cannot,)
        if stream.usual_mg is None:
            return ()
        return (self.words.usual.format(kg=figure(stream.usual_mg / 1e6, self.decimals)),)

    def between(self, mass_mg: float, label: str) -> Slice:
        return Slice(Stroke.RIBBON, mass_mg, mass_mg * self.px_per_mg, label, (self.kg(mass_mg),))


def stroke_of(stream: Stream) -> Stroke:
    """Fine dashes within the usual, heavy ones beyond it, dots where it cannot be judged."""
    if stream.verdict is Verdict.CANNOT:
        return Stroke.UNJUDGED
    return Stroke.BEYOND if stream.verdict in {Verdict.LOOK, Verdict.STOP} else Stroke.USUAL


def main_mg(stage: StageFlow) -> float:
    """What goes on to the next stage, mg dry."""
    return sum(finite(s.dry_mg) for s in stage.streams if s.branch is Branch.MAIN)


def gap_mg(before: StageFlow, after: StageFlow) -> float:
    """What the stage before handed on and the stage after has not taken in (negative: it took more), mg dry; below one part in
    two thousand it is the rounding of two sums."""
    gap = main_mg(before) - finite(after.input_mg)
    return gap if abs(gap) > 0.0005 * max(main_mg(before), finite(after.input_mg)) else 0.0


def _largest_mg(stage: StageFlow) -> float:
    out = sum(max(finite(s.dry_mg), 0.0) for s in stage.streams)
    surplus = sum(-finite(s.dry_mg) for s in stage.streams if is_surplus(s))
    return max(finite(stage.input_mg) + surplus, out)


def _station(stage: StageFlow, pen: _Pen) -> Station:
    streams = sorted((s for s in stage.streams if shown(s)), key=lambda s: (_LOWEST_FIRST[s.branch], -finite(s.dry_mg)))
    whole = finite(stage.input_mg)
    mains = tuple(pen.stream(s, whole) for s in stage.streams if s.branch is Branch.MAIN and shown(s))
    leaving = tuple(
        pen.difference(s, stage.name) if s.branch is Branch.UNEXPLAINED else pen.stream(s, whole)
        for s in streams if s.branch is not Branch.MAIN and not is_surplus(s)
    )
    entering = tuple(pen.difference(s, stage.name) for s in streams if is_surplus(s))
    return Station(stage.name, stage.note, whole * pen.px_per_mg, mains, leaving, entering)


def _joined(stations: list[Station], stages: tuple[StageFlow, ...], pen: _Pen) -> tuple[Station, ...]:
    """Stations with what waits between two of them, or joins from elsewhere."""
    for i, gap in enumerate(gap_mg(a, b) for a, b in itertools.pairwise(stages)):
        if gap > 0:
            stations[i] = replace(stations[i], waiting=pen.between(gap, pen.words.waiting))
        elif gap < 0:
            label = stages[i + 1].input_label if not stations[i].mains else pen.words.elsewhere
            stations[i + 1] = replace(stations[i + 1], stock=pen.between(-gap, label))
    return tuple(stations)


def plan(season: SeasonFlow, height_px: float, words: Words = ENGLISH) -> Plan:
    """Slices of a season at one scale: the stage with most mass is ``height_px`` drawing units wide."""
    largest = max((_largest_mg(s) for s in season.stages), default=0.0)
    pen = _Pen(height_px / largest if largest > 0 else 0.0, decimals_for(largest), words)
    stations = _joined([_station(s, pen) for s in season.stages], season.stages, pen)
    first = season.stages[0] if season.stages else None
    mass = finite(first.input_mg) if first else 0.0
    kg = words.dry.format(kg=pen.kg(mass))
    source = Slice(Stroke.RIBBON, mass, mass * pen.px_per_mg, first.input_label, (kg,)) if first and mass > 0 else None
    return Plan(stations, source, pen.px_per_mg, pen.decimals)


def scale_bar(px_per_mg: float, decimals: int) -> tuple[float, str]:
    """The scale bar: its width in drawing units, 24 to 80, and the round mass that it stands for."""
    if px_per_mg <= 0:
        return 0.0, ""
    steps = (m * 10**e for e in range(16) for m in (1, 2, 5))
    mass_mg = next(m for m in steps if m * px_per_mg >= 24)
    need = next((d for d in range(7) if mass_mg % 10 ** (6 - d) == 0), decimals)
    return mass_mg * px_per_mg, kilograms(mass_mg, need)
