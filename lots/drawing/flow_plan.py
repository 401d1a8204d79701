"""From a season's records to the slices of its drawing: words, scale, and what waits or joins between two stages."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from math import isfinite

from lots.drawing.flow_slices import THIN, Plan, Slice, Station, Stroke
from lots.drawing.words import ENGLISH, Words, decimals_for, figure, share
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.units import MG_PER_KG, NBSP, kg_text
from lots.trade.weighing import Verdict

_STROKES = {
    Branch.MAIN: Stroke.RIBBON, Branch.BY_PRODUCT: Stroke.HATCHED, Branch.DECLARED: Stroke.SOLID, Branch.SHELF: Stroke.RIBBON,
    Branch.IN_MILL: Stroke.RIBBON,
}
_LOWEST_FIRST = {
    Branch.SHELF: 0, Branch.IN_MILL: 1, Branch.BY_PRODUCT: 2, Branch.DECLARED: 3, Branch.UNEXPLAINED: 4, Branch.MAIN: 5,
}


def finite(mass_mg: float) -> float:
    """The mass in mg where there is one; a sum that could not be formed counts as nothing drawn."""
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
        return kg_text(mass_mg, self._decimals(mass_mg)) + star

    def _decimals(self, mass_mg: float) -> int:
        """More decimals for a mass that would be written as nothing."""
        return next((d for d in range(self.decimals, 6) if abs(mass_mg) >= 0.5 * 10 ** (6 - d)), 6)

    def stream(self, stream: Stream, whole_mg: float) -> Slice:
        mass_mg = finite(stream.dry_mg)
        px = mass_mg * self.px_per_mg
        part = share(mass_mg, whole_mg) if px >= THIN else ""
        return Slice(_STROKES[stream.branch], mass_mg, px, stream.label, (self.words.comma.join(filter(None, (self.kg(mass_mg), part))),))

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
        return (self.words.usual.format(kg=figure(stream.usual_mg / MG_PER_KG, self.decimals)),)

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


def weighed_stages(season: SeasonFlow) -> tuple[StageFlow, ...]:
    """Stages at which anything has been weighed; the others are not drawn yet."""
    return tuple(s for s in season.stages if finite(s.input_mg) > 0 or any(finite(x.dry_mg) != 0 for x in s.streams))


def plan(season: SeasonFlow, height_px: float, words: Words = ENGLISH) -> Plan:
    """Slices of a season at one scale: the stage with most mass is ``height_px`` drawing units wide."""
    stages = weighed_stages(season)
    largest = max((_largest_mg(s) for s in stages), default=0.0)
    pen = _Pen(height_px / largest if largest > 0 else 0.0, decimals_for(largest), words)
    stations = _joined([_station(s, pen) for s in stages], stages, pen)
    mass = finite(stages[0].input_mg) if stages else 0.0
    kg = words.dry.format(kg=pen.kg(mass))
    source = Slice(Stroke.RIBBON, mass, mass * pen.px_per_mg, stages[0].input_label, (kg,)) if mass > 0 else None
    return Plan(stations, source, pen.px_per_mg, pen.decimals)


def scale_bar(px_per_mg: float, decimals: int) -> tuple[float, str]:
    """The scale bar: its width in drawing units, 24 to 80, and the round mass that it stands for."""
    if px_per_mg <= 0:
        return 0.0, ""
    steps = (m * 10**e for e in range(16) for m in (1, 2, 5))
    mass_mg = next(m for m in steps if m * px_per_mg >= 24)
    need = next((d for d in range(7) if mass_mg % 10 ** (6 - d) == 0), decimals)
    return mass_mg * px_per_mg, kg_text(mass_mg, need)
