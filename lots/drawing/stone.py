"""The face of a stone, the house's sign: eight sectors, in each one long furrow and two that run beside it to the rim."""

from __future__ import annotations

from math import cos, pi, sin, sqrt

from lots.drawing.ribbons import d
from lots.drawing.svg import tag

_MIDDLE, _RIM, _EYE, _FURROW_END = 20.0, 18.6, 3.4, 18.0
_BESIDE = (7.5, 11.0)


def _furrows() -> list[tuple[float, float, float, float]]:
    """Furrows of the sector that points up, from their inner to their outer end, seen from the middle."""
    long = (0.0, -_EYE - 0.6, 0.0, -_FURROW_END)
    return [long, *((x, -x, x, -sqrt(_FURROW_END**2 - x**2)) for x in _BESIDE)]


def _turned(x: float, y: float, angle: float) -> tuple[float, float]:
    return _MIDDLE + x * cos(angle) - y * sin(angle), _MIDDLE + x * sin(angle) + y * cos(angle)


def stone_svg() -> str:
    """The house's sign, hidden from readers aloud; its size and stroke come from the class ``stone``."""
    shape = ""
    for sector in range(8):
        for x0, y0, x1, y1 in _furrows():
            angle = sector * pi / 4
            shape += d("M", *_turned(x0, y0, angle), "L", *_turned(x1, y1, angle))
    rings = "".join(tag("circle", cx=_MIDDLE, cy=_MIDDLE, r=r) for r in (_RIM, _EYE))
    return tag("svg", rings, tag("path", d=shape), class_="stone", viewBox="0 0 40 40", aria_hidden="true")
