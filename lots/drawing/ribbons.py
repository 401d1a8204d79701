"""The curves of the flow drawing as path data: branches that turn down, stubs that enter, slices that rise to a bar."""

from __future__ import annotations

from lots.drawing.svg import num

#: Radius of the inner side of a turn, in drawing units.
TURN = 12.0


def d(*parts: str | float) -> str:
    """Path data from letters and numbers."""
    out = ""
    for part in parts:
        word = part if isinstance(part, str) else num(part)
        out += word if not out or word[0].isalpha() or out[-1].isalpha() else f" {word}"
    return out


def arc(radius: float, sweep: int, x: float, y: float) -> str:
    """A quarter turn that ends at (x, y)."""
    return d("A", radius, radius, "0 0", str(sweep), x, y)


def turn_down(bar: float, top: float, wide: float, left: float, foot: float) -> str:
    """A filled branch: it leaves the bar at ``top`` with width ``wide`` and turns down, its left side at ``left``."""
    outer = TURN + wide
    return d("M", bar, top, "H", left - TURN, arc(outer, 1, left + wide, top + outer), "V", foot, "H", left, "V", top + outer,
             arc(TURN, 0, left - TURN, top + wide), "H", bar, "Z")


def fork_down(bar: float, top: float, end: float, kept: float, wide: float, left: float, foot: float) -> str:
    """A ribbon from ``bar`` to ``end`` whose lower part, ``wide`` units from ``kept`` down, turns away at ``left``: one shape."""
    outer = TURN + wide
    return d("M", bar, top, "H", end, "V", kept, "H", left - TURN, arc(outer, 1, left + wide, kept + outer), "V", foot, "H", left,
             "V", kept + outer, arc(TURN, 0, left - TURN, kept + wide), "H", bar, "Z")


def line_down(bar: float, top: float, wide: float, left: float, foot: float) -> str:
    """The same branch as one line along its middle."""
    radius, x, y = TURN + wide / 2, left + wide / 2, top + wide / 2
    return d("M", bar, y, "H", x - radius, arc(radius, 1, x, y + radius), "V", foot)


def hollow_down(bar: float, top: float, wide: float, left: float, foot: float) -> str:
    """The same branch as its two edges, open at the foot."""
    outer = TURN + wide
    return d("M", bar, top, "H", left - TURN, arc(outer, 1, left + wide, top + outer), "V", foot,
             "M", left, foot, "V", top + outer, arc(TURN, 0, left - TURN, top + wide), "H", bar)


def line_in(left: float, above: float, bar: float, y: float) -> str:
    """A line that comes from above and turns right into the bar at height ``y``."""
    return d("M", left, above, "V", y - TURN, arc(TURN, 0, left + TURN, y), "H", bar)


def hollow_in(left: float, above: float, wide: float, bar: float, bottom: float) -> str:
    """Two edges, ``wide`` apart, that come from above and turn right into the bar; the lower one ends at ``bottom``."""
    outer, top = TURN + wide, bottom - wide
    return d("M", left, above, "V", bottom - outer, arc(outer, 0, left + outer, bottom), "H", bar,
             "M", left + wide, above, "V", top - TURN, arc(TURN, 0, left + outer, top), "H", bar)


def rise_in(left: float, foot: float, wide: float, bar: float, top: float) -> str:
    """A filled slice that rises from ``foot`` and turns right into the bar, its upper edge at ``top``."""
    outer = TURN + wide
    return d("M", left, foot, "V", top + outer, arc(outer, 1, left + outer, top), "H", bar, "V", top + wide, "H", left + outer,
             arc(TURN, 0, left + wide, top + outer), "V", foot, "Z")


def arm_out(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """Downward drawing: a filled branch from the bar at [left, left + wide] that turns right at height ``top``."""
    right, inner = left + wide, TURN
    return d("M", left, bar, "V", top - inner, arc(inner + wide, 0, right + inner, top + wide), "H", end, "V", top, "H",
             right + inner, arc(inner, 1, right, top - inner), "V", bar, "Z")


def arm_fork(top: float, left: float, bottom: float, kept: float, wide: float, arm: float, end: float) -> str:
    """Downward drawing: a ribbon from ``top`` to ``bottom`` whose right part turns away at ``arm``: one shape."""
    right = kept + wide
    return d("M", left, top, "V", bottom, "H", kept, "V", arm - TURN, arc(TURN + wide, 0, right + TURN, arm + wide), "H", end,
             "V", arm, "H", right + TURN, arc(TURN, 1, right, arm - TURN), "V", top, "Z")


def arm_line(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """The same branch as one line along its middle."""
    radius, x, y = TURN + wide / 2, left + wide / 2, top + wide / 2
    return d("M", x, bar, "V", y - radius, arc(radius, 0, x + radius, y), "H", end)


def arm_hollow(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """The same branch as its two edges, open at its end."""
    right, inner = left + wide, TURN
    return d("M", left, bar, "V", top - inner, arc(inner + wide, 0, right + inner, top + wide), "H", end,
             "M", end, top, "H", right + inner, arc(inner, 1, right, top - inner), "V", bar)


def arm_in(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """Downward drawing: a filled slice that comes from the right at height ``top`` and turns down into the bar."""
    right, outer = left + wide, TURN + wide
    return d("M", end, top, "H", left + outer, arc(outer, 0, left, top + outer), "V", bar, "H", right, "V", top + outer,
             arc(TURN, 1, right + TURN, top + wide), "H", end, "Z")


def arm_in_line(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """The same entry as one line along its middle."""
    radius, x, y = TURN + wide / 2, left + wide / 2, top + wide / 2
    return d("M", end, y, "H", x + radius, arc(radius, 0, x, y + radius), "V", bar)


def arm_in_hollow(bar: float, left: float, wide: float, top: float, end: float) -> str:
    """The same entry as its two edges, open at its beginning."""
    right, outer = left + wide, TURN + wide
    return d("M", end, top, "H", left + outer, arc(outer, 0, left, top + outer), "V", bar,
             "M", right, bar, "V", top + outer, arc(TURN, 1, right + TURN, top + wide), "H", end)
