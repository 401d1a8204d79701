"""A square symbol as one path, dark on light in any light of the room, with the quiet zone that scanners need."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from lots.drawing.svg import checked_prefix, escape, tag

#: Width of the quiet zone in modules (ISO/IEC 18004).
QUIET = 4


def _row(y: int, row: Sequence[bool]) -> str:
    """The dark runs of one row."""
    out, x = "", 0
    for dark, run in groupby(row, bool):
        length = len(list(run))
        if dark:
            out += f"M{x + QUIET} {y + QUIET}h{length}v1h-{length}z"
        x += length
    return out


def qr_svg(modules: Sequence[Sequence[bool]], size_mm: float, prefix: str, *, title: str) -> str:
    """The symbol of ``modules`` (rows of dark or light), ``size_mm`` wide with its quiet zone of 4 modules.

    ``title`` says where it leads. Raises ValueError when the rows do not make a square, or the size is not above zero.
    """
    count = len(modules)
    if count == 0 or any(len(row) != count for row in modules):
        raise ValueError("The modules of a square symbol must be as many across as down.")
    if size_mm <= 0:
        raise ValueError(f"A symbol cannot be {size_mm} mm wide.")
    side = count + 2 * QUIET
    name = f"{checked_prefix(prefix)}-title"
    ground = tag("rect", class_="qr-ground", width=float(side), height=float(side), fill="none")
    dark = tag("path", class_="qr-ink", d="".join(_row(y, row) for y, row in enumerate(modules)))
    return tag("svg", tag("title", escape(title), id=name), ground, dark, xmlns="http://www.w3.org/2000/svg", class_="qr",
               width=f"{size_mm:g}mm", height=f"{size_mm:g}mm", viewBox=f"0 0 {side} {side}", shape_rendering="crispEdges",
               role="img", aria_labelledby=name)
