"""The season from left to right: bars in their places, ribbons along a straight top edge, branches down, words clear."""

from __future__ import annotations

from dataclasses import dataclass

from lots.drawing import ribbons
from lots.drawing.flow_columns import Columns, columns
from lots.drawing.flow_feet import Foot, feet, ribbon_blocks, stubs
from lots.drawing.flow_head import Entry, captions, entries, entries_high, lane, lane_high, name_bounds, named, names_high, on_ribbons
from lots.drawing.flow_plan import scale_bar
from lots.drawing.flow_slices import Plan, Slice, Station, Stroke
from lots.drawing.labels import Bounds, Label
from lots.drawing.metrics import width as words_width
from lots.drawing.svg import path, rect, text
from lots.drawing.words import Words


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale bar and its words, and the note on thin lines, with the upper left corner of both."""

    x: float
    top: float
    px: float
    words: tuple[str, ...]

    @property
    def bounds(self) -> Bounds:
        wide = max(self.px + 8 + words_width(self.words[0], 13), *(words_width(w, 13) for w in self.words))
        return (self.x, self.top, self.x + wide, self.top + 10 + 22 * len(self.words))

    def svg(self) -> str:
        """The bar with its words."""
        y = self.top + 16
        bar = path(ribbons.d("M", self.x, y - 6, "V", y, "H", self.x + self.px, "V", y - 6), "ln")
        rest = [text(self.x, y + 26 + 20 * i, words, "t-s") for i, words in enumerate(self.words[1:])]
        beside = text(self.x + self.px + 8, y + 3, self.words[0], "t-s") if self.words[0] else ""
        return bar + beside + "".join(rest)


@dataclass(frozen=True, slots=True)
class Wide:
    """The wide drawing with everything in its place: tests measure it, ``svg`` writes it."""

    plan: Plan
    places: Columns
    top: float
    names_foot: tuple[float, ...]
    entering: tuple[Entry, ...]
    feet: tuple[Foot, ...]
    captions: tuple[Label, ...]
    scale: Scale | None
    height: float

    def labels(self) -> list[Label]:
        """Every block of words but the stage names and the scale."""
        return [*(e.label for e in self.entering), *(f.label for f in self.feet), *self.captions]


def scale_words(plan: Plan, words: Words) -> tuple[float, tuple[str, ...]]:
    """Width of the scale bar in drawing units, its words, and the note on thin lines where one is drawn."""
    px, kg = scale_bar(plan.px_per_mg, plan.decimals)
    return px, (words.scale.format(kg=kg), *((words.thin,) if plan.any_thin else ()))


def _scale(plan: Plan, placed: list[Foot], floor: float, width: float, words: Words) -> Scale | None:
    if plan.px_per_mg <= 0:
        return None
    px, lines = scale_words(plan, words)
    left, _, right, _ = Scale(0, 0, px, lines).bounds
    x = max(0.0, width - (right - left) - 4)
    return Scale(x, max([floor, *(f.bottom for f in placed if f.block[1] > x - 8)]) + 22, px, lines)


def lay_out(plan: Plan, width: float, words: Words) -> Wide:
    """Gives every bar, ribbon, branch and word of a plan its place."""
    places = columns(plan, width)
    entering = entries(plan, places)
    written = captions(plan, places)
    above = max((s.entering_px for s in plan.stations), default=0.0)
    top = entries_high(entering) + names_high(plan.stations) + lane_high(written) + 14 + above
    aside = lane(written, top - above - 9)
    placed = feet(stubs(plan, places, top), ribbon_blocks(plan, places, top), places.width)
    floor = max((low for _, _, low in ribbon_blocks(plan, places, top)), default=top)
    scale = _scale(plan, placed, floor, places.width, words)
    ends = [floor, *(f.bottom for f in placed), *((scale.bounds[3],) if scale else ())]
    words_placed = (*aside, *on_ribbons(written, top))
    names_foot = _names_foot(plan, places, top - above - 10, aside)
    return Wide(plan, places, top, names_foot, tuple(entering), tuple(placed), words_placed, scale, max(ends) + 8)


def _names_foot(plan: Plan, places: Columns, foot: float, aside: list[Label]) -> tuple[float, ...]:
    """Stage names stand just above their bars, or above the words of thin ribbons where these are in their way."""
    feet_of_names = []
    for station, bar in zip(plan.stations, places.bars, strict=True):
        left, _, right, _ = name_bounds(station, bar, foot)
        in_the_way = [label.top for label in aside if label.x < right + 8 and label.bounds[2] > left - 8]
        feet_of_names.append(min([foot, *(top - 2 for top in in_the_way)]))
    return tuple(feet_of_names)


def stroked(piece: Slice, prefix: str, shape: str) -> str:
    """A path in the stroke of its slice; by-products take the page's hatch."""
    if piece.stroke is Stroke.HATCHED:
        return path(shape, Stroke.HATCHED, fill=f"url(#{prefix}-hatch)")
    return path(shape, piece.stroke)


def _in_one_shape(wide: Wide, piece: Slice) -> bool:
    """Whether what waits is drawn together with the ribbon that it leaves."""
    return any(s.waiting is piece and s.mains and s.mains[-1].true_px > piece.true_px for s in wide.plan.stations)


def _branch(wide: Wide, foot: Foot, prefix: str) -> str:
    stub, piece = foot.stub, foot.stub.piece
    if _in_one_shape(wide, piece):
        return ""
    if stub.rises:
        return stroked(piece, prefix, ribbons.rise_in(stub.left, foot.foot, piece.drawn_px, stub.bar, stub.top))
    shape = ribbons.hollow_down if piece.hollow else ribbons.line_down if piece.dashed else ribbons.turn_down
    return stroked(piece, prefix, shape(stub.bar, stub.top, piece.drawn_px, stub.left, foot.foot))


def _entry(entry: Entry, prefix: str, top: float) -> str:
    piece, bottom = entry.piece, top - entry.lower
    if piece.hollow:
        return stroked(piece, prefix, ribbons.hollow_in(entry.left, 6, piece.true_px, entry.bar, bottom))
    return stroked(piece, prefix, ribbons.line_in(entry.left, 6, entry.bar, bottom - piece.true_px / 2))


@dataclass(frozen=True, slots=True)
class _Fork:
    """What is not taken on: where it turns away from the ribbons, and the height down to which they go on."""

    foot: Foot
    kept: float

    def cut(self, bar: float, end: float, top: float, piece: Slice) -> str:
        """One ribbon as far as it goes: on to the next bar, away with the fork, or up to it."""
        stub, bottom = self.foot.stub, top + piece.true_px
        if bottom <= self.kept + 0.01:
            return rect(bar, top, end - bar, piece.drawn_px, Stroke.RIBBON)
        wide = bottom - self.kept
        if top >= self.kept or wide < stub.piece.true_px - 0.01:
            return rect(bar, top, stub.bar - bar, piece.drawn_px, Stroke.RIBBON)
        return path(ribbons.fork_down(bar, top, end, self.kept, wide, stub.right - wide, self.foot.foot), Stroke.RIBBON)


def _fork(wide: Wide, station: Station) -> _Fork | None:
    foot = next((f for f in wide.feet if f.stub.piece is station.waiting), None)
    return _Fork(foot, wide.top + station.main_px - foot.stub.piece.true_px) if foot else None


def _ribbons(wide: Wide) -> str:
    source, bars = wide.plan.source, wide.places.bars
    out = [rect(0.6, wide.top, bars[0] - 0.6, source.drawn_px, Stroke.RIBBON)] if source and bars else []
    ends = [*bars[1:], wide.places.width - 1]
    for station, bar, end in zip(wide.plan.stations, bars, ends, strict=True):
        fork, top = _fork(wide, station), wide.top
        for piece in station.mains:
            out.append(fork.cut(bar, end, top, piece) if fork else rect(bar, top, end - bar, piece.drawn_px, Stroke.RIBBON))
            top += piece.true_px
    return "".join(out)


def bar_span(station: Station, top: float) -> tuple[float, float]:
    """Upper and lower end of a stage's bar: it covers what comes in, what enters and what goes out."""
    return top - station.entering_px - 5, top + max(station.input_px, station.out_px) + 5


def _bars(wide: Wide) -> str:
    spans = [bar_span(s, wide.top) for s in wide.plan.stations]
    return "".join(rect(x - 3, a, 6, b - a, "ink") for x, (a, b) in zip(wide.places.bars, spans, strict=True))


def body(wide: Wide, prefix: str) -> str:
    """The drawing as markup, without its outer element."""
    parts = [_ribbons(wide), *(_branch(wide, f, prefix) for f in wide.feet), *(_entry(e, prefix, wide.top) for e in wide.entering)]
    stations = zip(wide.plan.stations, wide.places.bars, wide.names_foot, strict=True)
    stage_names = [named(station, bar, foot) for station, bar, foot in stations]
    scale = wide.scale.svg() if wide.scale else ""
    return "".join([*parts, _bars(wide), *stage_names, *(label.svg() for label in wide.labels()), scale])
