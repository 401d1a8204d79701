"""The place of a plot as typed: one point, or the corners of its outline as pairs of latitude and longitude in degrees."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from lots.trade.language import Refused

#: Mean radius of the earth in metres (IUGG, R1).
EARTH_M = 6_371_008.8
SQUARE_M_PER_A = 100.0
CORNERS_MOST = 200
#: Less than a square metre is no plot.
AREA_LEAST_A = 0.01
#: A typed area this much off the area of the outline is questioned (common practice, no source).
AREA_FACTOR = 1.25
_PAIR = re.compile(r"\s*([+-]?\d{1,3}(?:\.\d+)?)\s*[,;\s]\s*([+-]?\d{1,3}(?:\.\d+)?)\s*")


@dataclass(frozen=True, slots=True)
class Corner:
    """A place on the earth in degrees, north and east positive."""

    lat: float
    lon: float


def read_outline(typed: str) -> tuple[Corner, ...]:
    """Return the point or the corners of a text with one "lat, lon" pair in degrees on each line; a last corner that repeats
    the first closes the outline and is dropped.

    Raises `lots.trade.language.Refused` in both languages: a line that is no pair, a value out of range, two corners, too
    many, or sides that cross.
    """
    lines = [line for line in typed.splitlines() if line.strip()]
    corners = [read_pair(no, line) for no, line in enumerate(lines, 1)]
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()
    if len(corners) == 2 or (len(corners) == 1 and len(lines) > 1):
        raise Refused("An outline has at least three corners; one line alone is a point.",
                      "輪郭には三つ以上の角が要ります。一行だけなら点です。")
    if len(corners) > CORNERS_MOST:
        raise Refused(f"{len(corners)} corners are typed, and {CORNERS_MOST} fit.",
                      f"角が{len(corners)}あります。入るのは{CORNERS_MOST}までです。")
    crossing = crossed(corners)
    if crossing is not None:
        first, second = crossing
        raise Refused(
            f"The side after corner {first} crosses the side after corner {second}. Type the corners in order round the plot.",
            f"角{first}の次の辺と角{second}の次の辺が交わっています。畑を一周する順に入れてください。",
        )
    if len(corners) > 2 and area_a(corners) < AREA_LEAST_A:
        raise Refused("The corners lie on one line and enclose nothing.", "角が一直線に並び、囲む面積がありません。")
    return tuple(corners)


def read_pair(no: int, line: str) -> Corner:
    """Return one "lat, lon" pair in degrees. Raises `Refused` where it is none or lies out of range; ``no`` names the line."""
    found = _PAIR.fullmatch(line)
    if found is None:
        raise Refused(f"Line {no} is no pair of latitude and longitude, such as 35.0112, 135.7681.",
                      f"{no}行目が緯度と経度の組ではありません。例：35.0112, 135.7681")
    lat, lon = float(found[1]), float(found[2])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        raise Refused(f"Line {no}: latitude runs from -90 to 90, longitude from -180 to 180. Latitude comes first.",
                      f"{no}行目：緯度は-90から90、経度は-180から180です。緯度が先です。")
    return Corner(lat, lon)


def plane_m(corners: Sequence[Corner]) -> list[tuple[float, float]]:
    """Return corners in metres east and north of their middle, on a plane that touches the earth there."""
    lat = sum(c.lat for c in corners) / len(corners)
    lon = corners[0].lon
    shrink = math.cos(math.radians(lat))
    return [
        (math.radians((c.lon - lon + 180) % 360 - 180) * EARTH_M * shrink, math.radians(c.lat - lat) * EARTH_M) for c in corners
    ]


def area_a(corners: Sequence[Corner]) -> float:
    """Return the area of an outline in ares, by the shoelace formula on a plane at its middle: exact to better than a
    thousandth for plots below a kilometre. A point has none."""
    points = plane_m(corners) if len(corners) > 2 else []
    doubled = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True))
    return abs(doubled) / 2 / SQUARE_M_PER_A


def area_is_far_off(typed_a: float, outline_a: float) -> bool:
    """Tell whether a typed area and the area of the outline, both in ares, are far apart."""
    return outline_a > 0 and not typed_a / AREA_FACTOR <= outline_a <= typed_a * AREA_FACTOR


def crossed(corners: Sequence[Corner]) -> tuple[int, int] | None:
    """Return the numbers (from 1) of the corners before the first two sides that cross or touch, None where none do."""
    count = len(corners)
    if count < 4:
        return None
    points = plane_m(corners)
    sides = [(points[i], points[(i + 1) % count]) for i in range(count)]
    for i in range(count):
        for j in range(i + 2, count):
            if (i, j) != (0, count - 1) and meet(*sides[i], *sides[j]):
                return i + 1, j + 1
    return None


def middle(corners: Sequence[Corner]) -> Corner:
    """Return the mean of the corners, in degrees. Raises ValueError for none."""
    if not corners:
        raise ValueError("A place has at least one corner.")
    return Corner(sum(c.lat for c in corners) / len(corners), sum(c.lon for c in corners) / len(corners))


Point = tuple[float, float]


def turn(a: Point, b: Point, c: Point) -> float:
    """Return on which side of the line from a to b the point c lies: above nothing to the left, 0 on it (square metres)."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Tell whether the sides a-b and c-d cross or touch."""
    ends = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    turns = [turn(*three) for three in ends]
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    return any(t == 0 and between(*three) for t, three in zip(turns, ends, strict=True))


def between(a: Point, b: Point, c: Point) -> bool:
    """Tell whether c, which lies on the line through a and b, lies between them."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])
