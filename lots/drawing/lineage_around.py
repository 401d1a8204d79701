"""Arrows that run around boxes: straight up between tiers where the way is clear, else through strips between the columns
and along lanes below the boxes, so that none of them crosses a box."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lots.drawing.lineage_boxes import SMALL
from lots.drawing.lineage_layout import Layout
from lots.drawing.lineage_links import Around
from lots.drawing.lineage_order import Row
from lots.drawing.lineage_parts import CHANNEL, LANE, Band
from lots.drawing.metrics import width


class Way(StrEnum):
    """How an arrow runs around boxes."""

    STRAIGHT = "straight up or down between two tiers"
    BESIDE = "beside its own column"
    NEXT = "into the next column"
    LANE = "along a lane below the boxes"


@dataclass(slots=True, eq=False)
class Course:
    """The way of one arrow, with the strips and the lane that it was given."""

    around: Around
    way: Way
    out_channel: int = 0
    in_channel: int = 0
    band: Band | None = None
    lane: int = 0


def _stack(band: Band, column: int) -> list[Row]:
    return sorted((r for r in band.rows if column in r.heights), key=lambda r: r.y)


def _clear(layout: Layout, around: Around, taken: set[str]) -> bool:
    """Whether nothing stands between the two boxes of one column."""
    column, source, target = around.source.column, around.source, around.target
    if source.tier == target.tier or column != target.column or column == 0 or taken & {source.key, target.key}:
        return False
    upper, lower = sorted((source, target), key=lambda b: layout.bands.index(layout.band(b)))
    first, last = layout.bands.index(layout.band(upper)), layout.bands.index(layout.band(lower))
    if any(_stack(b, column) for b in layout.bands[first + 1:last]):
        return False
    return (_stack(layout.bands[first], column)[-1] is layout.rows[upper.key]
            and _stack(layout.bands[last], column)[0] is layout.rows[lower.key])


def _upper(layout: Layout, around: Around) -> Band:
    return min(layout.band(around.source), layout.band(around.target), key=layout.bands.index)


def _way(layout: Layout, around: Around, taken: set[str]) -> Way:
    if _clear(layout, around, taken):
        return Way.STRAIGHT
    if around.source.column == around.target.column:
        return Way.BESIDE
    return Way.NEXT if around.target.column == around.source.column + 1 else Way.LANE


def _take_channel(layout: Layout, gap: int) -> int:
    layout.gaps[gap].channels += 1
    return layout.gaps[gap].channels - 1


def _give_room(layout: Layout, course: Course) -> None:
    """Books the strips, lanes and words of one arrow."""
    around, gap = course.around, layout.gaps[course.around.source.column + 1]
    if course.way is Way.STRAIGHT:
        course.band = _upper(layout, around)
        if around.words:
            course.lane = course.band.notes
            course.band.notes += 1
        return
    course.out_channel = _take_channel(layout, around.source.column + 1)
    if course.way is Way.BESIDE and around.words:
        gap.beside = max(gap.beside, width(around.words, SMALL) + 10)
    if course.way is Way.NEXT:
        gap.below = max(gap.below, width(around.words, SMALL))
    if course.way is Way.LANE:
        course.in_channel = _take_channel(layout, around.target.column)
        course.band = _upper(layout, around)
        course.lane = course.band.lanes
        course.band.lanes += 1


def courses(layout: Layout) -> list[Course]:
    """Chooses a way for every arrow that runs around boxes and books its room in the layout."""
    taken: set[str] = set()
    found = []
    for around in layout.links.around:
        course = Course(around, _way(layout, around, taken))
        if course.way is Way.STRAIGHT:
            taken |= {around.source.key, around.target.key}
        _give_room(layout, course)
        found.append(course)
    return found


@dataclass(frozen=True, slots=True)
class Drawn:
    """An arrow as corners of its line, the direction of its head, and its words with their place."""

    points: tuple[tuple[float, float], ...]
    head: str
    words: str
    at: tuple[float, float]


def channel_x(layout: Layout, gap: int, channel: int) -> float:
    """Where a vertical line in a strip runs."""
    return layout.gaps[gap].left + 8 + CHANNEL * channel


def _straight(layout: Layout, course: Course) -> Drawn:
    source, target = layout.bounds(course.around.source), layout.bounds(course.around.target)
    x = (source[0] + source[2]) / 2
    up = target[1] < source[1]
    ends = ((x, source[1]), (x, target[3] + 2)) if up else ((x, source[3]), (x, target[1] - 2))
    band = course.band or layout.bands[0]
    y = band.lane_top + LANE * (band.lanes + course.lane) + 14
    return Drawn(ends, "up" if up else "down", course.around.words, (x + 8, y))


def _beside(layout: Layout, course: Course) -> Drawn:
    around = course.around
    source, target = layout.bounds(around.source), layout.bounds(around.target)
    gap = layout.gaps[around.source.column + 1]
    x = channel_x(layout, around.source.column + 1, course.out_channel)
    below = target[1] > source[1]
    words_y = source[3] + 9 if below else source[1] - 1
    points = ((source[2], source[3] - 9), (x, source[3] - 9), (x, target[1] + 9), (target[2] + 1, target[1] + 9))
    return Drawn(points, "left", around.words, (gap.left + 6 + CHANNEL * gap.channels + 4, words_y))


def _next(layout: Layout, course: Course) -> Drawn:
    around = course.around
    source, target = layout.bounds(around.source), layout.bounds(around.target)
    gap = layout.gaps[around.source.column + 1]
    x, y = channel_x(layout, around.source.column + 1, course.out_channel), target[3] - 9
    points = ((source[2], source[3] - 9), (x, source[3] - 9), (x, y), (target[0] - 1, y))
    return Drawn(points, "right", around.words, (gap.left + gap.strip + 2, y + 14))


def _free_column(course: Course, straights: set[int]) -> int:
    """The column over whose place on the lane the words stand."""
    source, target = course.around.source.column, course.around.target.column
    passed = range(target, source + 1) if target < source else range(source + 1, target)
    return next((c for c in passed if c not in straights), passed[0])


def _lane(layout: Layout, course: Course, straights: set[int]) -> Drawn:
    around, band = course.around, course.band or layout.bands[0]
    source, target = layout.bounds(around.source), layout.bounds(around.target)
    out = channel_x(layout, around.source.column + 1, course.out_channel)
    into = channel_x(layout, around.target.column, course.in_channel)
    y = band.lane_top + LANE * course.lane + 18
    points = ((source[2], source[3] - 9), (out, source[3] - 9), (out, y), (into, y), (into, target[3] - 9),
              (target[0] - 1, target[3] - 9))
    return Drawn(points, "right", around.words, (layout.lefts[_free_column(course, straights)], y - 4))


def drawn(layout: Layout, course: Course, straights: set[int]) -> Drawn:
    """The line of an arrow that runs around boxes; ``straights`` are columns through which an arrow runs up or down."""
    if course.way is Way.STRAIGHT:
        return _straight(layout, course)
    if course.way is Way.LANE:
        return _lane(layout, course, straights)
    return _beside(layout, course) if course.way is Way.BESIDE else _next(layout, course)
