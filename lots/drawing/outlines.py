"""The outline of a plot as a small drawing: its corners, north up, with a bar that says how long so many metres are."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

from lots.drawing.svg import picture, tag, text
from lots.quality.outlines import Corner, plane_m

_WIDE, _HIGH, _MARGIN, _FOOT = 320.0, 220.0, 16.0, 34.0


def bar_m(span_m: float) -> float:
    """Return a round length in metres (1, 2 or 5 times a power of ten) of at most a half of a span in metres.

    Raises ValueError for a span of nothing.
    """
    if span_m <= 0:
        raise ValueError("A drawing has an extent.")
    power = 10.0 ** floor(log10(span_m / 2))
    return max(power * step for step in (1, 2, 5) if power * step <= span_m / 2 * (1 + 1e-9))


def outline(corners: Sequence[Corner], title: str, described_by: str = "", *, prefix: str = "outline") -> str:
    """Return the drawing of an outline (degrees) as SVG; nothing for a point, which has no extent. ``title`` is one sentence.

    Raises ValueError for a prefix that cannot open an id.
    """
    if len(corners) < 3:
        return ""
    points = plane_m(corners)
    left, low = min(x for x, _ in points), min(y for _, y in points)
    wide_m, high_m = max(x for x, _ in points) - left, max(y for _, y in points) - low
    scale = min((_WIDE - 2 * _MARGIN) / max(wide_m, 1e-9), (_HIGH - 2 * _MARGIN) / max(high_m, 1e-9))
    placed = [(_MARGIN + (x - left) * scale, _MARGIN + (high_m - (y - low)) * scale) for x, y in points]
    ring = " ".join(f"{x:.1f},{y:.1f}" for x, y in placed)
    bottom = 2 * _MARGIN + high_m * scale
    length_m = bar_m(max(wide_m, high_m))
    bar = tag("path", class_="ln", d=f"M{_MARGIN:.1f} {bottom + 4:.1f}h{length_m * scale:.1f}")
    words = text(_MARGIN, bottom + 22, f"{length_m:g} m", class_="t-s")
    north = text(_WIDE - _MARGIN, _MARGIN + 8, "N ↑", class_="t-s", anchor="end")
    shape = tag("polygon", points=ring, class_="st")
    return picture(
        shape + bar + words + north, view=(0, 0, _WIDE, bottom + _FOOT), class_=None, prefix=prefix, title=title,
        described_by=described_by,
    )
