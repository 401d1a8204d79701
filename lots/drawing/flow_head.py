"""The head of the wide flow drawing: what is too much enters there, stages are named, thin ribbons have their words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from lots.drawing.flow_columns import GAP, Columns, entry_reach, half_name, names
from lots.drawing.flow_slices import Plan, Slice, Station
from lots.drawing.labels import Bounds, Label, label_for, natural_width
from lots.drawing.metrics import wrap
from lots.drawing.svg import text


@dataclass(frozen=True, slots=True)
class Entry:
    """What enters from above: its stub starts at ``left``, its words beside it; ``lower`` px lie between it and the ribbon."""

    piece: Slice
    bar: float
    left: float
    lower: float
    label: Label


def _places(plan: Plan, places: Columns) -> list[tuple[Slice, float, float, float]]:
    """Every entering stub as (slice, bar, left, lower), from left to right."""
    found = []
    for station, bar in zip(plan.stations, places.bars, strict=True):
        left, lower = bar - entry_reach(station), station.entering_px
        for piece in station.entering:
            lower -= piece.true_px
            found.append((piece, bar, left, lower))
            left += piece.drawn_px + GAP
    return found


def entries(plan: Plan, places: Columns) -> list[Entry]:
    """Entering stubs with their words, to the right where there is room before the next stub, else to the left."""
    found, placed, cursor = _places(plan, places), [], 0.0
    ends = [*(left for _, _, left, _ in found[1:]), places.width][:len(found)]
    for (piece, bar, left, lower), end in zip(found, ends, strict=True):
        right = left + piece.drawn_px + 10
        after, before = end - right - 12, left - cursor - 14
        if after >= min(natural_width(piece, 260), 220) or after >= before:
            label = label_for(piece, right, 2, after)
        else:
            wide = label_for(piece, 0, 0, before).wide
            label = label_for(piece, left - wide - 6, 2, before)
        placed.append(Entry(piece, bar, left, lower, label))
        cursor = max(label.bounds[2], left + piece.drawn_px)
    return placed


def names_high(stations: Sequence[Station]) -> float:
    """Height of the band of stage names and notes."""
    lines = max((len(names(s)) for s in stations), default=0)
    notes = max((len(wrap(s.note, 120, 13, 2)) for s in stations), default=0)
    return 22.0 * lines + 17.0 * notes


def name_bounds(station: Station, bar: float, bottom: float) -> Bounds:
    """The room of a stage's name and note, standing on ``bottom``."""
    high, half = names_high([station]), half_name(station)
    return (bar - half, bottom - high, bar + half, bottom)


def named(station: Station, bar: float, bottom: float) -> str:
    """Name and note of one stage, standing on ``bottom`` and centred on its bar."""
    title, note = names(station), wrap(station.note, 120, 13, 2)
    top = bottom - 22.0 * len(title) - 17.0 * len(note)
    words = [text(bar, top + 17 + 22 * i, line, "t-l", "middle") for i, line in enumerate(title)]
    under = top + 22.0 * len(title)
    return "".join(words + [text(bar, under + 12 + 17 * i, line, "t-s", "middle") for i, line in enumerate(note)])


@dataclass(frozen=True, slots=True)
class Caption:
    """Words of a ribbon: on it where it is high enough, else in a band above all ribbons."""

    piece: Slice
    left: float
    room: float
    aside: float
    offset: float

    def on_ribbon(self) -> bool:
        """Whether the words find room on the ribbon itself."""
        label = label_for(self.piece, 0, 0, self.room)
        return label.high + 6 <= self.piece.true_px and label.wide <= self.room + 0.1


def _joint_px(station: Station, following: Station) -> float:
    return sum(p.drawn_px + 40 for p in (station.waiting, following.stock) if p)


def captions(plan: Plan, places: Columns) -> list[Caption]:
    """Words of every ribbon, the first input included, from left to right and top to bottom."""
    found: list[Caption] = []
    if plan.source and plan.stations:
        room = max(places.bars[0] - 22, 30.0)
        found.append(Caption(plan.source, 12, room, max(room - entry_reach(plan.stations[0]), 30.0), 0.0))
    ends = [*places.bars[1:], places.width]
    following = [*plan.stations[1:], None]
    for station, bar, end, after in zip(plan.stations, places.bars, ends, following, strict=True):
        room = max(end - bar - 22 - (_joint_px(station, after) if after else 0.0), 30.0)
        aside = max(end - bar - 22 - (entry_reach(after) if after else 0.0), 30.0)
        offsets = accumulate((s.true_px for s in station.mains), initial=0.0)
        found += [Caption(s, bar + 14, room, aside, past) for s, past in zip(station.mains, offsets, strict=False)]
    return found


def lane(found: Sequence[Caption], bottom: float) -> list[Label]:
    """Words that do not fit on their ribbons, in a band that stands on ``bottom``."""
    aside = [c for c in found if not c.on_ribbon()]
    placed: list[Label] = []
    for left in sorted({c.left for c in aside}):
        stack = [label_for(c.piece, left - 6, 0, c.aside + 4) for c in aside if c.left == left]
        top = bottom - sum(label.high + 3 for label in stack)
        for label in stack:
            placed.append(Label(label.x, top, label.strong, label.plain, label.verdict))
            top += label.high + 3
    return placed


def lane_high(found: Sequence[Caption]) -> float:
    """Height of the band of words above the ribbons (0: all fit on their ribbons)."""
    return -min((label.top for label in lane(found, 0.0)), default=0.0)


def on_ribbons(found: Sequence[Caption], top: float) -> list[Label]:
    """Words that stand on their ribbons, in the middle of their height."""
    fitting = [c for c in found if c.on_ribbon()]
    labels = [label_for(c.piece, c.left, 0, c.room) for c in fitting]
    tops = [top + c.offset + (c.piece.true_px - label.high) / 2 for c, label in zip(fitting, labels, strict=True)]
    return [label_for(c.piece, c.left, at, c.room) for c, at in zip(fitting, tops, strict=True)]


def entries_high(found: Sequence[Entry]) -> float:
    """Height of the band where words of entering stubs stand."""
    return max((e.label.high + 8 for e in found), default=0.0)


