"""Reads drawings back: elements, words, ids, and the lines of paths as short straight pieces."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import combinations, pairwise

from lots.drawing.labels import Bounds

Point = tuple[float, float]
_TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+")


def local(element: ET.Element) -> str:
    return element.tag.rsplit("}", 1)[-1]


def parsed(markup: str) -> ET.Element:
    return ET.fromstring(markup)  # noqa: S314 - our own markup


def elements(root: ET.Element, name: str, *classes: str) -> list[ET.Element]:
    return [e for e in root.iter() if local(e) == name and set(classes) <= set(e.get("class", "").split())]


def words(root: ET.Element) -> list[str]:
    return [e.text or "" for e in elements(root, "text")]


def ids(root: ET.Element) -> list[str]:
    return [e.get("id", "") for e in root.iter() if e.get("id")]


def classes(root: ET.Element) -> set[str]:
    return {c for e in root.iter() for c in e.get("class", "").split()}


def _number(tokens: list[str]) -> float:
    return float(tokens.pop(0))


def _bezier(start: Point, corners: list[Point], steps: int = 16) -> Iterator[Point]:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = start, *corners
    for i in range(1, steps + 1):
        t = i / steps
        a, b, c, e = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        yield a * x0 + b * x1 + c * x2 + e * x3, a * y0 + b * y1 + c * y2 + e * y3


def line(d: str) -> list[Point]:
    """The points of a path of M, L, H, V, C and quarter turns A, in absolute coordinates."""
    tokens, points = _TOKEN.findall(d), list[Point]()
    while tokens:
        command = tokens.pop(0)
        x, y = points[-1] if points else (0.0, 0.0)
        if command in "ML":
            points.append((_number(tokens), _number(tokens)))
        elif command == "H":
            points.append((_number(tokens), y))
        elif command == "V":
            points.append((x, _number(tokens)))
        elif command == "C":
            points += _bezier((x, y), [(_number(tokens), _number(tokens)) for _ in range(3)])
        elif command == "A":
            del tokens[:5]
            points.append((_number(tokens), _number(tokens)))
    return points


def overlap(a: Bounds, b: Bounds, slack: float = 0.5) -> bool:
    return a[0] < b[2] - slack and b[0] < a[2] - slack and a[1] < b[3] - slack and b[1] < a[3] - slack


def clashes(boxes: list[tuple[str, Bounds]]) -> list[tuple[str, str]]:
    return [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if overlap(one, other)]


def crosses(points: list[Point], box: Bounds, inset: float = 1.0) -> bool:
    """Whether a line goes through the inside of a box."""
    left, top, right, bottom = box[0] + inset, box[1] + inset, box[2] - inset, box[3] - inset
    for (x0, y0), (x1, y1) in pairwise(points):
        for i in range(33):
            x, y = x0 + (x1 - x0) * i / 32, y0 + (y1 - y0) * i / 32
            if left < x < right and top < y < bottom:
                return True
    return False
